/** Coming in: the code of the room and a nickname. */
import { useState } from "preact/hooks";
import type { Dispatch } from "./reducer";
import type { State } from "./state";

export function Join({ s, dispatch }: { s: State; dispatch: Dispatch }) {
    const [code, set_code] = useState(s.code);
    const [nickname, set_nickname] = useState("");
    return (
        <main class="narrow">
            <h1>Join the class</h1>
            <form
                onSubmit={(e) => {
                    e.preventDefault();
                    dispatch({ do: "join", code, nickname });
                }}>
                <div class="field">
                    <label for="code">Code of the room</label>
                    <input
                        id="code"
                        class="mono large"
                        value={code}
                        required
                        autocomplete="off"
                        autocapitalize="characters"
                        spellcheck={false}
                        aria-describedby="code-hint"
                        onInput={(e) => set_code(e.currentTarget.value)}
                    />
                    <p class="hint" id="code-hint">
                        As it is shown in the room; large or small letters, with or without the line.
                    </p>
                </div>
                <div class="field">
                    <label for="nickname">Nickname</label>
                    <input
                        id="nickname"
                        class="large"
                        value={nickname}
                        required
                        maxLength={24}
                        autocomplete="off"
                        spellcheck={false}
                        aria-describedby="nickname-hint"
                        onInput={(e) => set_nickname(e.currentTarget.value)}
                    />
                    <p class="hint" id="nickname-hint">
                        Not your full name. The instructor sees it beside your steps and readings; nothing else of you
                        is kept, and you can delete it all.
                    </p>
                </div>
                <p class="actions">
                    <button class="main large" disabled={s.joining.busy}>
                        {s.joining.busy ? "Joining" : "Join"}
                    </button>
                </p>
                <p class={s.joining.trouble ? "trouble" : ""} role="status">
                    {s.joining.trouble}
                </p>
            </form>
        </main>
    );
}
