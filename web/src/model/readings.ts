import { with_weight } from "./weights";

/** Readings taken at a build that does not do what it should: those of a file, then those entered here, a line each. */
export interface Readings {
    /** A readings file (TOML); empty: none was loaded. */
    text: string;
    /** "U1.13 = 0.02 V when gauge.ECHO high", "tank echo works when touched". */
    lines: string[];
    /** Two faults at once are thought of as well. */
    pairs: boolean;
}
export const no_readings: Readings = { text: "", lines: [], pairs: false };

export type ReadingsChange =
    /** `tried`: the answer to what is asked; it is taken back where it cannot be read. */
    | { kind: "add"; line: string; tried?: boolean }
    | { kind: "put"; at: number; line: string }
    /** A line, or the block of the file that holds this line of its text. */
    | { kind: "drop"; at: number }
    | { kind: "cut"; line: number }
    | { kind: "tick"; line: string; instead_of: string[] }
    | { kind: "pairs"; on: boolean }
    /** How often a kind of fault is met, in the file's text; null: as often as is usual. */
    | { kind: "weight"; of: string; weight: number | null }
    | { kind: "take"; readings: Readings };

export function with_change(r: Readings, c: ReadingsChange): Readings {
    switch (c.kind) {
        case "add":
            return { ...r, lines: [...r.lines, c.line] };
        case "put":
            return { ...r, lines: r.lines.map((line, i) => (i === c.at ? c.line : line)) };
        case "drop":
            return { ...r, lines: r.lines.filter((_, i) => i !== c.at) };
        case "cut":
            return { ...r, text: without_block(r.text, c.line) };
        case "tick":
            return { ...r, lines: ticked(r.lines, c.line, c.instead_of) };
        case "pairs":
            return { ...r, pairs: c.on };
        case "weight":
            return { ...r, text: with_weight(r.text, c.of, c.weight) };
        case "take":
            return c.readings;
    }
}

/** A line that was there goes, one that was not comes, and those it speaks against go. */
function ticked(lines: string[], line: string, instead_of: string[]): string[] {
    if (lines.includes(line)) return lines.filter((l) => l !== line);
    return [...lines.filter((l) => !instead_of.includes(l)), line];
}

const is_head = (row: string): boolean => /^\s*\[/.test(row);

/** A file of readings without the table that holds a line (from 1), up to the next table. */
export function without_block(text: string, line: number): string {
    const rows = text.split("\n");
    let from = Math.min(line, rows.length) - 1;
    while (from > 0 && !is_head(rows[from]!)) --from;
    let to = from + 1;
    while (to < rows.length && !is_head(rows[to]!)) ++to;
    return [...rows.slice(0, from), ...rows.slice(to)].join("\n");
}

/** The readings of a file as it writes them, each with the line where its table begins. */
export function blocks_of(text: string): { row: number; words: string }[] {
    const out: { row: number; words: string }[] = [];
    let inside = false;
    text.split("\n").forEach((row, i) => {
        if (is_head(row)) inside = /^\s*\[\[\s*(readings|seen)\s*\]\]/.test(row);
        if (inside && is_head(row)) out.push({ row: i + 1, words: "" });
        else if (inside && row.trim()) out.at(-1)!.words += `${out.at(-1)!.words && ", "}${row.trim()}`;
    });
    return out;
}
