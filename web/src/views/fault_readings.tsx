/** What was read and seen so far, to change and to add to. */
import { useRef, useState } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import { entries, type Entry } from "../model/fault";
import type { ReadingsChange } from "../model/readings";
import type { State } from "../model/state";
import { Field, ProblemWords } from "./pieces";

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
