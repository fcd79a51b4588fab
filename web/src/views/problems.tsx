/** What in the text could not be read, and where. */
import type { Dispatch } from "../model/actions";
import type { State } from "../model/state";
import { ProblemWords } from "./pieces";

export function Problems({ s, dispatch }: { s: State; dispatch: Dispatch }) {
    const problems = s.check.value?.problems ?? [];
    const empty = problems.some((p) => p.code === "empty-bench");
    if (problems.length === 0 || empty) return null;
    const refused = s.check.value?.accepted === false;
    return (
        <section class="problems" aria-labelledby="problems">
            <h2 id="problems">{refused ? "The text cannot be read yet" : "Remarks on the text"}</h2>
            {refused && s.read && <p class="soft">Verdicts below are those of the last text that could be read.</p>}
            <ul>
                {problems.map((p, i) => (
                    <li key={i}>
                        {p.place && (
                            <button
                                class="quiet"
                                onClick={() => dispatch({ do: "goto", line: p.place!.line, column: p.place!.column })}>
                                Line {p.place.line}
                            </button>
                        )}{" "}
                        <ProblemWords of={p} />
                    </li>
                ))}
            </ul>
        </section>
    );
}
