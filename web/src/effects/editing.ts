/** What a person does with a bench becomes a change of its text, written by the server one after another. */
import type { Action } from "../model/actions";
import type { Check, Refusable } from "../model/answers";
import { difference } from "../model/difference";
import { brought, type Said } from "../model/forms";
import { text_of } from "../model/state";
import { post, trouble } from "./api";
import type { Effect, Store } from "./store";

const tries = 5;

type Wanted = Extract<Action, { do: "edit" }>;

/** Nothing: the text can be read as well as before. */
async function complaints(store: Store, text: string): Promise<Said[]> {
    const { doc, check } = store.state;
    const after = await post<Check>("/api/check", { file: doc?.path ?? "bench.toml", text });
    return brought(check.value?.problems ?? [], after, text);
}

async function write(store: Store, { edits, word, form }: Wanted) {
    for (let i = 0; i < tries; ++i) {
        const text = text_of(store.state);
        const answer = await post<Refusable & { text: string | null }>("/api/edit", {
            file: store.state.doc?.path ?? "bench.toml",
            text,
            edits,
        });
        if (!answer.accepted || answer.text === null) {
            if (form !== undefined)
                return store.dispatch({
                    do: "form-refused",
                    form,
                    said: answer.problems.map((problem) => ({ problem, line: "" })),
                });
            return store.dispatch({
                do: "edit-refused",
                words: answer.problems.map((p) => p.message).join("; ") || "This change cannot be written.",
            });
        }
        if (form !== undefined) {
            const said = await complaints(store, answer.text);
            if (said.length > 0) return store.dispatch({ do: "form-refused", form, said });
        }
        if (text_of(store.state) !== text) continue; // a hand typed meanwhile: once more, on its text
        const at = difference(text, answer.text).from;
        store.dispatch({
            do: "text",
            text: answer.text,
            selection: { anchor: at, head: at },
            word,
            at: performance.now(),
        });
        if (form !== undefined) store.dispatch({ do: "form-taken", form });
        return;
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
            .catch((error: unknown) => {
                const words = trouble(error) ?? "";
                const problem = { code: "not-asked", message: words };
                store.dispatch(
                    action.form === undefined
                        ? { do: "edit-refused", words }
                        : { do: "form-refused", form: action.form, said: [{ problem, line: "" }] },
                );
            })
            .then(() => {
                if (--waiting === 0) store.dispatch({ do: "edit-done" });
            });
    };
}
