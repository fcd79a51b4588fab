/** Names of rails, parts and links and their lines, read off a text that may be unfinished. It serves the lists
 *  while the check cannot read the bench, and nothing else: what a bench means is the core's to say. */
export interface Entry {
    name: string;
    line: number;
}
export interface OutlineLink extends Entry {
    from: string;
    to: string;
    group: string;
}
export interface Outline {
    rails: Entry[];
    parts: (Entry & { type: string })[];
    links: OutlineLink[];
}

const bare = String.raw`[A-Za-z0-9_-]+`;
const key = String.raw`(?:${bare}|"(?:[^"\\]|\\.)*")`;
const heading = /^\s*(\[\[?)\s*([^\]]+?)\s*\]/;
const sub = new RegExp(String.raw`^(rails|parts)\s*\.\s*(${key})$`);
const assignment = new RegExp(String.raw`^\s*(${key})\s*=\s*(.*)$`);
const dotted = new RegExp(String.raw`^\s*(rails|parts)\s*\.\s*(${key})\s*(?:=\s*(.*)|\.)`);

export function unquoted(word: string): string {
    const text = /^\s*"((?:[^"\\]|\\.)*)"/.exec(word);
    if (!text) return word.trim();
    return text[1]!.replace(/\\(.)/g, "$1");
}
const type_in = (value: string): string =>
    /^\s*"/.test(value) ? unquoted(value) : unquoted(/type\s*=\s*("(?:[^"\\]|\\.)*")/.exec(value)?.[1] ?? '""');
const ends = (value: string): string => [...value.matchAll(/"((?:[^"\\]|\\.)*)"/g)].map((m) => m[1]).join(", ");

class Reader {
    outline: Outline = { rails: [], parts: [], links: [] };
    section = "";

    add(section: string, name: string, value: string, line: number) {
        const list: Entry[] = section === "rails" ? this.outline.rails : this.outline.parts;
        const known = list.find((e) => e.name === name);
        if (!known) list.push(section === "rails" ? { name, line } : ({ name, line, type: type_in(value) } as Entry));
    }
    read_heading(bracket: string, name: string, line: number) {
        this.section = name;
        if (bracket === "[[" && name === "links")
            this.outline.links.push({ name: "", line, from: "", to: "", group: "" });
        const inside = sub.exec(name);
        if (inside) this.add(inside[1]!, unquoted(inside[2]!), "", line);
    }
    read_line(text: string, line: number) {
        const head = heading.exec(text);
        if (head) return this.read_heading(head[1]!, head[2]!, line);
        const path = this.section === "" ? dotted.exec(text) : null;
        if (path) return this.add(path[1]!, unquoted(path[2]!), path[3] ?? "", line);
        const set = assignment.exec(text);
        if (!set) return;
        const [name, value] = [unquoted(set[1]!), set[2]!];
        if (this.section === "rails" || this.section === "parts") return this.add(this.section, name, value, line);
        const inside = sub.exec(this.section);
        const part = inside?.[1] === "parts" && this.outline.parts.find((p) => p.name === unquoted(inside[2]!));
        if (part && name === "type") part.type = unquoted(value);
        const link = this.section === "links" ? this.outline.links.at(-1) : undefined;
        if (!link) return;
        if (name === "name") [link.name, link.line] = [unquoted(value), line];
        else if (name === "from" || name === "to") link[name] = ends(value);
        else if (name === "group") link.group = unquoted(value);
    }
}

export function outline(text: string): Outline {
    const reader = new Reader();
    text.split("\n").forEach((line, i) => reader.read_line(line, i + 1));
    return reader.outline;
}

/** The link whose block holds a line: the one that begins last before it, while no other section has begun. */
export function link_at(text: string, line: number): string | null {
    const lines = text.split("\n");
    let name: string | null = null;
    let inside = false;
    for (let i = 0; i < lines.length; ++i) {
        const head = heading.exec(lines[i]!);
        if (head && i >= line) break;
        if (head) [inside, name] = [head[1] === "[[" && head[2] === "links", null];
        const set = inside ? assignment.exec(lines[i]!) : null;
        if (set && set[1] === "name") name = unquoted(set[2]!);
    }
    return name;
}
