/** What a person does with a bench becomes a change of its text, written by the server one after another. */
import type { Action } from "../model/actions";
import type { Refusable } from "../model/answers";
import { difference } from "../model/difference";
import { text_of } from "../model/state";
import { post, trouble } from "./api";
import type { Effect, Store } from "./store";

const tries = 5;

async function write(store: Store, { edits, word }: Extract<Action, { do: "edit" }>) {
    for (let i = 0; i < tries; ++i) {
        const text = text_of(store.state);
        const answer = await post<Refusable & { text: string | null }>("/api/edit", {
            file: store.state.doc?.path ?? "bench.toml",
            text,
            edits,
        });
        if (!answer.accepted || answer.text === null)
            return store.dispatch({
                do: "edit-refused",
                words: answer.problems.map((p) => p.message).join("; ") || "This change cannot be written.",
            });
        if (text_of(store.state) !== text) continue; // a hand typed meanwhile: once more, on its text
        const at = difference(text, answer.text).from;
        return store.dispatch({
            do: "text",
            text: answer.text,
            selection: { anchor: at, head: at },
            word,
            at: performance.now(),
        });
    }
    store.dispatch({ do: "edit-refused", words: "The text kept changing; try again." });
}

export function editing(store: Store): Effect {
    let last = Promise.resolve();
    let waiting = 0;
    return (action) => {
        if (action.do !== "edit") return;
        ++waiting;
        last = last
            .then(() => write(store, action))
            .catch((error: unknown) => store.dispatch({ do: "edit-refused", words: trouble(error) ?? "" }))
            .then(() => {
                if (--waiting === 0) store.dispatch({ do: "edit-done" });
            });
    };
}
