/** Asks before a gate is passed of which something is missing, and says what. */
import { Dialog } from "../views/pieces";
import type { Dispatch } from "./reducer";
import { missing_of, type State } from "./state";

export function AskPass({ asked, dispatch }: { asked: NonNullable<State["asked"]>; dispatch: Dispatch }) {
    const { row, gate, full } = asked;
    if (!full) return null;
    const close = () => dispatch({ do: "asked-over" });
    const pass = () => {
        close();
        dispatch({ do: "deed", learner: row.id, deed: "pass", gate });
    };
    return (
        <Dialog title={`Let ${row.nickname} pass gate ${gate}?`} close={close}>
            <p>Not all of gate {gate} is there:</p>
            <ul>
                {missing_of(full, gate).map((words) => (
                    <li key={words}>{words}</li>
                ))}
            </ul>
            <p>
                {gate === 1
                    ? "Behind it supplies are switched on: look at the board first."
                    : "Behind it the build is driven under full power: look at the board first."}
            </p>
            <p class="actions">
                <button class="main" onClick={pass}>
                    Pass gate {gate} all the same
                </button>
                <button onClick={close}>Do not</button>
            </p>
        </Dialog>
    );
}
