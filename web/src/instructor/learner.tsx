/** One learner in full: the way through the gates, what was built wrong and with what harm, and every reading. */
import { useState } from "preact/hooks";
import type { FullCheck, InFull, Row } from "../hall/answers";
import { gate_title } from "../hall/answers";
import { BuildResult, GateMark, Stop } from "../hall/pieces";
import { time_words } from "../hall/words";
import { Dialog } from "../views/pieces";
import { Cards, type Column } from "./cards";
import type { Deed, Dispatch } from "./reducer";
import { DeedButton, seen_words } from "./room";
import type { State } from "./state";

interface Props {
    s: State;
    full: InFull;
    dispatch: Dispatch;
}

const sign = (check: FullCheck) => (check.right === null ? "-" : check.right ? "✓ right" : "✗ not right");

const reading_columns: Column[] = [
    { words: "Reading", wide: true },
    { words: "Entered", mono: true },
    { words: "Expected", mono: true },
    { words: "Result", wide: true },
    { words: "Tries", right: true },
    { words: "Hints", right: true },
];

function Readings({ gate, checks }: { gate: number; checks: FullCheck[] }) {
    const entered = checks.filter((c) => c.right !== null);
    return (
        <section aria-labelledby={`readings-${gate}`}>
            <h3 id={`readings-${gate}`}>
                Gate {gate}, {gate_title(gate).toLowerCase()}: {entered.filter((c) => c.right).length} of{" "}
                {checks.length} right
            </h3>
            {entered.length > 0 && (
                <Cards
                    label={`Readings of gate ${gate}`}
                    columns={reading_columns}
                    rows={entered.map((c) => ({
                        key: c.id,
                        cells: [
                            c.what,
                            c.entered,
                            c.expected,
                            <>
                                <span class={c.right ? "" : "strong"}>{sign(c)}</span>
                                {!c.right && c.wrong && <p class="soft">{c.wrong}</p>}
                            </>,
                            c.tries,
                            c.hints || "-",
                        ],
                    }))}
                />
            )}
        </section>
    );
}

const questions: Partial<Record<Deed, { title: string; words: string; act: string }>> = {
    delete: {
        title: "Delete everything of this learner",
        words:
            "Nickname, ticks, readings, gates and builds go for good, from the backup as well. " +
            "The phone goes back to joining.",
        act: "Delete for good",
    },
    reset: {
        title: "Begin again",
        words: "Ticks, readings, hints, gates and builds of this learner are deleted; the seat and the nickname stay.",
        act: "Delete the work",
    },
    remove: {
        title: "Shut this device out",
        words:
            "The phone can no longer do anything in this seat; its work is kept. " +
            "You can let another device in afterwards.",
        act: "Shut out",
    },
};

interface SureProps {
    deed: Deed;
    row: Row;
    dispatch: Dispatch;
    close: () => void;
}
/** Asks before what cannot be taken back. */
function Sure({ deed, row, dispatch, close }: SureProps) {
    const question = questions[deed];
    if (!question) return null;
    const act = () => {
        dispatch({ do: "deed", learner: row.id, deed, gate: 1 });
        close();
    };
    return (
        <Dialog title={`${question.title}: ${row.nickname}`} close={close}>
            <p>{question.words}</p>
            <p class="actions">
                <button class="main" onClick={act}>
                    {question.act}
                </button>
            </p>
        </Dialog>
    );
}

function Deeds({ s, full, dispatch }: Props) {
    const { row } = full;
    const [asked, ask] = useState<Deed | null>(null);
    const passed = Math.min(row.gate - 1, 4);
    return (
        <>
            <p class="actions">
                {row.gate <= 2 && (
                    <DeedButton
                        s={s}
                        row={row}
                        deed="pass"
                        gate={row.gate}
                        main={!row.danger}
                        dispatch={dispatch}>{`Let pass gate ${row.gate}`}</DeedButton>
                )}
                {[1, 2]
                    .filter((g) => g <= passed)
                    .map((g) => (
                        <DeedButton
                            key={g}
                            s={s}
                            row={row}
                            deed="back"
                            gate={g}
                            dispatch={dispatch}>{`Back to gate ${g}`}</DeedButton>
                    ))}
                {row.help && (
                    <DeedButton s={s} row={row} deed="helped" dispatch={dispatch}>
                        Helped
                    </DeedButton>
                )}
                <DeedButton s={s} row={row} deed="readmit" dispatch={dispatch}>
                    Let another device take this seat
                </DeedButton>
                <a href={`/api/class/export?learner=${row.id}`} download={`class-${row.id}.json`}>
                    Export
                </a>
            </p>
            <p class="actions">
                <button onClick={() => ask("remove")}>Shut this device out</button>
                <button onClick={() => ask("reset")}>Begin again</button>
                <button onClick={() => ask("delete")}>Delete</button>
            </p>
            {asked && <Sure deed={asked} row={row} dispatch={dispatch} close={() => ask(null)} />}
        </>
    );
}

export function LearnerView(props: Props) {
    const { s, full } = props;
    const { row, learner, build } = full;
    const steps = `${row.ticked} steps ticked${row.next ? `, next: ${row.next}` : "."}`;
    return (
        <>
            <p class="neighbours">
                <a href="#/room">All of the room</a>
            </p>
            <h1>{row.nickname}</h1>
            <div role="status">{row.danger && <Stop why={row.danger} />}</div>
            <p>
                <GateMark gate={row.gate} />; {seen_words(row, s.now)}; {steps}
            </p>
            {row.help && (
                <p>
                    <strong>! Help is wanted</strong>
                    {row.help.about && `: ${row.help.about}`}
                </p>
            )}
            {row.waiting && (
                <p>
                    <strong>▸ All readings of gate {row.gate} are right.</strong>
                </p>
            )}
            <ul class="inline">
                {learner.passed.map((at, k) => (
                    <li key={k}>
                        {at === null ? `gate ${k + 1} not passed` : `✓ gate ${k + 1} passed at ${time_words(at)}`}
                    </li>
                ))}
            </ul>
            {full.minutes.length > 0 && (
                <p>
                    Minutes so far: {full.minutes.map((m) => `${m.phase} ${m.minutes.toFixed(0)}`).join(", ")}. Pauses
                    of more than 10 count as 10.
                </p>
            )}
            <Deeds {...props} />
            <h2>Build</h2>
            {build ? <BuildResult build={build} /> : <p>No build has been handed in.</p>}
            <h2>Readings</h2>
            {[1, 2, 3, 4].map((gate) => (
                <Readings key={gate} gate={gate} checks={full.checks.filter((c) => c.gate === gate)} />
            ))}
        </>
    );
}
