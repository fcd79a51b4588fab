/** Looks parts up: by words, and what the types on this bench are. */
import type { Found, PartAnswer, PartRow, PartType, TraitRow } from "../model/part_answers";
import { text_of, type State } from "../model/state";
import { get, is_busy, post, Refused, trouble } from "./api";
import { later, type Effect, type Store } from "./store";

/** What of a text decides about its types: own types and included files. */
function types_text(text: string): string {
    let inside = false;
    return text
        .split("\n")
        .filter((line) => {
            if (/^\s*\[/.test(line)) inside = /^\s*\[\[?\s*(types|traits|families|functions)\b/.test(line);
            return inside || /^\s*include\s*=/.test(line);
        })
        .join("\n");
}

const ask_for = (words: string) =>
    get<{ parts: PartRow[]; traits: TraitRow[] }>(`/api/parts?search=${encodeURIComponent(words)}`);

/** Traits, and parts that hold all the words, best first; where there are none, those that hold the most of them. */
async function search(words: string): Promise<Found> {
    const { parts, traits } = await ask_for(words);
    return { rows: parts.length > 0 ? parts : await by_each_word(words), traits };
}

async function by_each_word(words: string): Promise<PartRow[]> {
    const single = [...new Set(words.toLowerCase().split(/\s+/))].filter((w) => w.length > 2 || /\d/.test(w));
    if (single.length < 2) return [];
    const held = new Map<string, { row: PartRow; weight: number }>();
    for (const { parts: rows } of await Promise.all(single.map(ask_for)))
        for (const row of rows) {
            const known = held.get(row.name) ?? { row, weight: 0 };
            known.weight += 1 / Math.sqrt(rows.length); // a word that few parts hold says more
            held.set(row.name, known);
        }
    return [...held.values()]
        .sort((a, b) => b.weight - a.weight)
        .slice(0, 40)
        .map((h) => h.row);
}

export function finding_parts(store: Store): Effect {
    const pause = later(120);
    let asked = "";
    const find = async (words: string) => {
        asked = words;
        const found = await search(words);
        if (asked === words) store.dispatch({ do: "found", words, ...found });
    };
    const tell = (error: unknown) => store.dispatch({ do: "notice", words: trouble(error) ?? "", bad: true });
    return (action) => {
        if (action.do === "find") pause.start(() => void find(action.words).catch(tell));
    };
}

/** The type as this bench has it; null: nothing has this name. */
async function looked_up(s: State, type: string): Promise<PartType | null> {
    try {
        const file = s.doc?.path ?? "bench.toml";
        return (await post<PartAnswer>("/api/part", { file, text: text_of(s), type })).part;
    } catch (error) {
        if (error instanceof Refused && !is_busy(error)) return null;
        throw error;
    }
}

export function knowing_types(store: Store): Effect {
    const asked = new Set<string>();
    let known = "";
    const ask = async (name: string) => {
        asked.add(name);
        try {
            store.dispatch({ do: "type", name, type: await looked_up(store.state, name) });
        } catch (error) {
            asked.delete(name); // the next check asks again
            store.dispatch({ do: "notice", words: trouble(error) ?? "", bad: true });
        }
    };
    const follow = (s: State) => {
        const text = types_text(text_of(s));
        if (text !== known) {
            known = text;
            asked.clear();
        }
        for (const { type } of s.read?.bench.parts ?? []) if (!asked.has(type)) void ask(type);
    };
    return (action, before, after) => {
        if (action.do === "open") asked.clear(); // its state knows no types yet
        if (action.do === "want-type" && !after.types[action.name]) void ask(action.name);
        if (after.read !== before.read && after.read) follow(after);
        const { route } = after;
        const came = route !== before.route || action.do === "open";
        if (came && route.view === "parts" && route.type) void ask(route.type);
    };
}
