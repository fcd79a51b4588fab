import { useState } from "preact/hooks";
import type { Dispatch } from "./reducer";
import type { State } from "./state";

export function SignIn({ s, dispatch }: { s: State; dispatch: Dispatch }) {
    const [passphrase, set] = useState("");
    return (
        <main class="narrow">
            <h1>Instructor</h1>
            <form
                onSubmit={(e) => {
                    e.preventDefault();
                    dispatch({ do: "sign-in", passphrase });
                }}>
                <div class="field">
                    <label for="passphrase">Passphrase</label>
                    <input
                        id="passphrase"
                        class="large"
                        type="password"
                        value={passphrase}
                        required
                        autocomplete="current-password"
                        onInput={(e) => set(e.currentTarget.value)}
                    />
                    <p class="hint">As it was set when the class was first started on this machine.</p>
                </div>
                <p class="actions">
                    <button class="main large" disabled={s.signing.busy}>
                        {s.signing.busy ? "Signing in" : "Sign in"}
                    </button>
                </p>
                <p class={s.signing.trouble ? "trouble" : ""} role="status">
                    {s.signing.trouble}
                </p>
            </form>
            <p>
                <a href="/class">I am a learner</a>
            </p>
        </main>
    );
}
