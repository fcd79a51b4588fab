/** What the bench is seen to do: the first thing to say when something is wrong. */
import { useState } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import type { Diagnosis } from "../model/fault_answers";
import { against, behaviours_said, entries, link_behaviours } from "../model/fault";
import type { State } from "../model/state";
import { Choose } from "./pieces";

interface Props {
    s: State;
    dispatch: Dispatch;
}

/** One thing the bench may be seen to do. */
function Tick({
    s,
    line,
    words,
    instead_of = [],
    dispatch,
}: Props & { line: string; words: string; instead_of?: string[] }) {
    return (
        <label class="tick">
            <input
                type="checkbox"
                checked={s.readings.lines.includes(line)}
                onChange={() => dispatch({ do: "readings", change: { kind: "tick", line, instead_of } })}
            />{" "}
            {words}
        </label>
    );
}

/** The first thing to say, so it stands first; once something was said or read it is closed when one comes back. */
export function Behaviours({ s, d, dispatch, on }: Props & { d: Diagnosis; on: () => void }) {
    const { links, parts } = d.askable;
    const [begun] = useState(entries(s).length === 0);
    const said = behaviours_said(s.readings, links, parts);
    const [link, set_link] = useState(links[0] ?? "");
    const [part, set_part] = useState(parts[0] ?? "");
    const options = (names: string[]) => names.map((value) => ({ value, words: value }));
    return (
        <details class="does" open={begun}>
            <summary>
                <h2>What the bench does</h2>
                {said.length > 0 && <span class="soft">: {said.join("; ")}</span>}
            </summary>
            <div class="two">
                {links.length > 0 && (
                    <fieldset>
                        <legend>A link</legend>
                        <Choose label="Which link" value={link} on={set_link} options={options(links)} />
                        <div class="ticks">
                            {link_behaviours.map((b) => (
                                <Tick
                                    key={b}
                                    s={s}
                                    dispatch={dispatch}
                                    line={`${link} ${b}`}
                                    words={b}
                                    instead_of={against(b).map((other) => `${link} ${other}`)}
                                />
                            ))}
                        </div>
                    </fieldset>
                )}
                <fieldset>
                    <legend>A part, or all of it</legend>
                    <Choose label="Which part" value={part} on={set_part} options={options(parts)} />
                    <div class="ticks">
                        <Tick s={s} dispatch={dispatch} line={`${part} gets hot`} words="gets hot" />
                        <Tick s={s} dispatch={dispatch} line="nothing works" words="nothing on the bench works" />
                    </div>
                </fieldset>
            </div>
            {said.length > 0 && !s.hints.learner && (
                <p class="actions">
                    <button onClick={on}>To the next reading</button>
                </p>
            )}
        </details>
    );
}
