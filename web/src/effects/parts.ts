/** Looks parts up: by words, and what the types on this bench are. */
import type { PartAnswer, PartRow, PartType } from "../model/answers";
import { text_of, type State } from "../model/state";
import { get, post } from "./api";
import { later, type Effect, type Store } from "./store";

/** What of a text decides about its types: own types and included files. */
function types_text(text: string): string {
    let inside = false;
    return text.split("\n").filter((line) => {
        if (/^\s*\[/.test(line)) inside = /^\s*\[\[?\s*(types|traits|families|functions)\b/.test(line);
        return inside || /^\s*include\s*=/.test(line);
    }).join("\n");
}

export function finding_parts(store: Store): Effect {
    const pause = later(120);
    let asked = "";
    const find = async (words: string) => {
        asked = words;
        const { parts } = await get<{ parts: PartRow[] }>(`/api/parts?search=${encodeURIComponent(words)}`);
        if (asked === words) store.dispatch({ do: "found", words, rows: parts });
    };
    return (action) => {
        if (action.do === "find") pause.start(() => void find(action.words).catch(() => undefined));
    };
}

export function knowing_types(store: Store): Effect {
    const asked = new Set<string>();
    let known = "";
    const ask = async (type: string): Promise<PartType | null> => {
        const s = store.state;
        const answer = await post<PartAnswer>("/api/part", { file: s.doc?.path ?? "bench.toml", text: text_of(s), type }).catch(() => null);
        return answer?.accepted ? answer.part : null;
    };
    const follow = (s: State) => {
        const text = types_text(text_of(s));
        if (text !== known) {
            known = text;
            asked.clear();
        }
        for (const { type } of s.read?.bench.parts ?? []) {
            if (asked.has(type)) continue;
            asked.add(type);
            void ask(type).then((found) => store.dispatch({ do: "type", name: type, type: found }));
        }
    };
    return (action, before, after) => {
        if (action.do === "want-type" && !after.types[action.name]) {
            asked.add(action.name);
            void ask(action.name).then((type) => store.dispatch({ do: "type", name: action.name, type }));
        }
        if (after.read !== before.read && after.read) follow(after);
        const { route } = after;
        if (route !== before.route && route.view === "parts")
            if (route.type) void ask(route.type).then((type) => store.dispatch({ do: "show-type", type }));
            else store.dispatch({ do: "show-type", type: null });
    };
}
