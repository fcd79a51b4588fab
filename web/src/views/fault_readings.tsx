/** What was read and seen so far, what the bench does, and all of it as a file. */
import { useEffect, useRef, useState } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import type { Diagnosis } from "../model/answers";
import { against, behaviours_said, entries, link_behaviours, type Entry } from "../model/fault";
import type { ReadingsChange } from "../model/readings";
import type { State } from "../model/state";
import { count } from "../model/words";
import { useName } from "./ids";
import { Choose, Field, ProblemWords } from "./pieces";

interface Props {
    s: State;
    dispatch: Dispatch;
}

/** A reading as one line of words, new or changed. */
function LineForm({
    label,
    begin,
    words,
    hint,
    list,
    focus = false,
    done,
}: {
    label: string;
    begin: string;
    words: string;
    hint: string;
    list: string[];
    focus?: boolean;
    done: (line: string) => void;
}) {
    const [line, set] = useState(begin);
    return (
        <form
            class="line-form"
            onSubmit={(e) => {
                e.preventDefault();
                if (line.trim()) done(line.trim());
                set(begin);
            }}>
            <Field label={label} value={line} on={set} required mono hint={hint} list={list} focus={focus} />
            <p class="actions">
                <button>{words}</button>
            </p>
        </form>
    );
}

function EntryRow({
    entry: e,
    number,
    change,
    list,
}: {
    entry: Entry;
    number: number;
    change: (c: ReadingsChange) => void;
    list: string[];
}) {
    const [editing, set_editing] = useState(false);
    const remove = () => change(e.line === null ? { kind: "cut", line: e.row ?? 1 } : { kind: "drop", at: e.line });
    return (
        <li>
            <div class="row">
                <span class="grow">
                    {e.words}
                    {e.unexplained && (
                        <>
                            <br />
                            <strong>? nothing known explains this</strong>
                        </>
                    )}
                </span>
                {e.line !== null && (
                    <button class="quiet" aria-expanded={editing} onClick={() => set_editing(!editing)}>
                        Change<span class="unseen"> reading {number}</span>
                    </button>
                )}
                <button class="quiet" onClick={remove}>
                    Remove<span class="unseen"> reading {number}</span>
                </button>
            </div>
            {e.problems.map((p) => (
                <p key={p.message} class="trouble" role="alert">
                    <ProblemWords of={p} />
                </p>
            ))}
            {editing && e.line !== null && (
                <LineForm
                    label={`Reading ${number}`}
                    begin={e.entered ?? ""}
                    words="Take the change"
                    hint="Names and units as on the sheets"
                    list={list}
                    focus
                    done={(line) => {
                        set_editing(false);
                        change({ kind: "put", at: e.line!, line });
                    }}
                />
            )}
        </li>
    );
}

export function ReadingsList({ s, dispatch }: Props) {
    const heading = useRef<HTMLHeadingElement>(null);
    const change = (c: ReadingsChange) => {
        dispatch({ do: "readings", change: c });
        if (c.kind !== "add") heading.current?.focus();
    };
    const all = entries(s);
    const points = (s.known?.askable.points ?? []).map(
        (p) => `${p.label.split(" ")[0] === "rail" ? p.label : p.label.split(" ")[0]!} = `,
    );
    const leads = (s.known?.askable.posts ?? []).map(
        ({ label }) => `${label} to ${label.startsWith("plus of ") ? `rail ${label.slice(8)}` : "ground"} = `,
    );
    const begins = [...points, ...leads];
    return (
        <section aria-labelledby="readings">
            <h2 id="readings" ref={heading} tabIndex={-1}>
                Read and seen so far
            </h2>
            {all.length === 0 && <p class="soft">Nothing yet.</p>}
            <ol class="entries">
                {all.map((e, i) => (
                    <EntryRow
                        key={`${e.line} ${e.row} ${e.words}`}
                        entry={e}
                        number={i + 1}
                        change={change}
                        list={begins}
                    />
                ))}
            </ol>
            <LineForm
                label="A reading of your own choice"
                begin=""
                words="Add it"
                list={begins}
                done={(line) => change({ kind: "add", line })}
                hint="Such as: U1.13 = 0.02 V when D4 high; rail usb = 4.4 V; wire 12 = not as planned"
            />
        </section>
    );
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

/** The readings as the command line takes them: to save, to bring back, to write by hand. */
export function ReadingsFile({ s, dispatch }: Props) {
    const [text, set] = useState("");
    const id = useName();
    useEffect(() => set(s.known?.readings_file ?? ""), [s.known?.readings_file]);
    const take = (words: string) =>
        dispatch({ do: "readings", change: { kind: "take", readings: { ...s.readings, text: words, lines: [] } } });
    return (
        <details>
            <summary>Readings as a file</summary>
            <p>
                This is what <code>voltsill diagnose</code> reads; errors of your meter and weights of faults may be
                written into it.
            </p>
            <div class="field">
                <label for={id}>readings.toml</label>
                <textarea
                    id={id}
                    class="mono"
                    rows={Math.min(Math.max(text.split("\n").length, 6), 24)}
                    spellcheck={false}
                    value={text}
                    onInput={(e) => set(e.currentTarget.value)}
                />
            </div>
            <p class="actions">
                <button onClick={() => take(text)}>Take these readings</button>
                <button disabled={!text} onClick={() => dispatch({ do: "save-readings", text })}>
                    Save as readings.toml
                </button>
                <label class="file">
                    Open a file{" "}
                    <input
                        type="file"
                        accept=".toml,text/plain"
                        onChange={(e) => {
                            void e.currentTarget.files?.[0]?.text().then((words) => {
                                set(words);
                                take(words);
                            });
                        }}
                    />
                </label>
                {s.readings.lines.length + s.readings.text.length > 0 && (
                    <button onClick={() => take("")}>Remove all readings</button>
                )}
            </p>
            <p class="hint">{count(entries(s).length, "reading")} in all.</p>
        </details>
    );
}
