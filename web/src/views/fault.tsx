/** Find the fault: what to keep off, what to read next, what may be wrong, and what was read so far. */
import type { RefObject } from "preact";
import { useRef } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import type { Diagnosis } from "../model/fault_answers";
import { cause_told, fault_current, mistakes_elsewhere } from "../model/fault";
import { current, type State } from "../model/state";
import { count } from "../model/words";
import { Problems } from "./problems";
import { NextView } from "./fault_next";
import { Behaviours } from "./fault_behaviours";
import { ReadingsFile } from "./fault_file";
import { ReadingsList } from "./fault_readings";
import { Contradictions, DamageView, RuledOut, Suspects } from "./fault_suspects";
import { Weights } from "./fault_weights";
import { ProblemWords, Progress } from "./pieces";

interface Props {
    s: State;
    dispatch: Dispatch;
}

/** First of all: what must not be switched on. */
function KeepOff({ why }: { why: string | null }) {
    if (!why) return null;
    return (
        <div class="keep-off" role="alert">
            <p>
                <strong>
                    <span class="sign" aria-hidden="true">
                        ✗
                    </span>{" "}
                    Keep the power off
                </strong>
            </p>
            <p>{why}</p>
        </div>
    );
}

function Settings({ s, dispatch }: Props) {
    return (
        <p class="actions">
            <label class="tick">
                <input
                    type="checkbox"
                    checked={s.hints.learner}
                    onChange={(e) => dispatch({ do: "hints", learner: e.currentTarget.checked, depth: 0 })}
                />{" "}
                A learner searches: show hints one by one
            </label>
            <label class="tick">
                <input
                    type="checkbox"
                    checked={s.readings.pairs}
                    onChange={(e) =>
                        dispatch({ do: "readings", change: { kind: "pairs", on: e.currentTarget.checked } })
                    }
                />{" "}
                Think of two faults at once (takes longer)
            </label>
        </p>
    );
}

/** The question, the reading, the cause: each when it is asked for. */
function Hints({ s, d, dispatch }: Props & { d: Diagnosis }) {
    const all = [
        ["Think", d.hints.question],
        ["Read", d.hints.reading],
        ["The cause", d.hints.cause],
    ] as const;
    const { depth } = s.hints;
    const more = ["Give me a question to think about", "Show me the reading to take", "Show me the cause"][depth];
    return (
        <section aria-labelledby="hints" class="hints">
            <h2 id="hints">Hints</h2>
            <div role="status">
                <ol>
                    {all.slice(0, depth).map(([title, words]) => (
                        <li key={title}>
                            <strong>{title}.</strong> {words}
                        </li>
                    ))}
                </ol>
            </div>
            {more && (
                <p class="actions">
                    <button onClick={() => dispatch({ do: "hints", learner: true, depth: depth + 1 })}>{more}</button>
                </p>
            )}
        </section>
    );
}

function Mistakes({ d }: { d: Diagnosis | null }) {
    const mistakes = d ? mistakes_elsewhere(d) : [];
    if (mistakes.length === 0) return null;
    return (
        <section class="problems" aria-labelledby="fault-problems">
            <h2 id="fault-problems">The readings cannot be understood yet</h2>
            <ul>
                {mistakes.map((p, i) => (
                    <li key={i}>
                        {p.place && (
                            <strong>
                                {p.place.file}, line {p.place.line}:{" "}
                            </strong>
                        )}
                        <ProblemWords of={p} />
                    </li>
                ))}
            </ul>
        </section>
    );
}

/** How many faults were thought of, and what was left out. */
function Basis({ d }: { d: Diagnosis }) {
    const pairs = d.pairs > 0 ? ` and ${count(d.pairs, "pair")} of them` : "";
    return (
        <p class="hint">
            Compared with what {count(d.faults, "single fault")} of this build{pairs} would read, each predicted from a
            wiring of its own.
            {d.pairs_left_out > 0 && ` ${count(d.pairs_left_out, "rarer pair")} left out.`}
            {d.not_placed && ` No board: ${d.not_placed}`}
        </p>
    );
}

/** What follows from the readings: what to read next, and what may be wrong. */
function Answer({ s, d, dispatch, heading }: Props & { d: Diagnosis; heading: RefObject<HTMLHeadingElement | null> }) {
    const sure = fault_current(s) && !s.fault.running;
    const told = cause_told(s);
    const { learner, depth } = s.hints;
    const answered = (line: string) => {
        dispatch({ do: "readings", change: { kind: "add", line, tried: true } });
        heading.current?.focus();
    };
    return (
        <div class={sure && !refused(s) ? "" : "older"}>
            {told && (
                <p class="sentence" role="status">
                    {d.sentence}
                </p>
            )}
            <Contradictions d={d} />
            <div class="two">
                <div>
                    {learner && <Hints s={s} d={d} dispatch={dispatch} />}
                    {(!learner || depth >= 2) && (
                        <NextView s={s} d={d} sure={sure} answered={answered} dispatch={dispatch} heading={heading} />
                    )}
                </div>
                {told && <Suspects d={d} />}
            </div>
        </div>
    );
}

/** The bench or the readings cannot be read. */
const refused = (s: State): boolean =>
    s.check.value?.accepted === false || (s.fault.value?.accepted === false && fault_current(s));

export function FaultView({ s, dispatch }: Props) {
    const heading = useRef<HTMLHeadingElement>(null);
    const d = s.known;
    const told = cause_told(s);
    const first = !d && current(s, s.check) && !s.fault.running && !s.fault.trouble && !refused(s);
    return (
        <>
            <h1>Find the fault</h1>
            {d && <KeepOff why={told ? d.keep_off : d.hints.keep_off} />}
            <p>
                The bench is built and does not do what it should. It is taken to be built as its{" "}
                <a href="#/wiring">plan</a> and the sheets have it. Say what it does, then take the readings that are
                asked for: each rules something out.{" "}
                <span class="soft">Extra-low voltage only; local codes and licensed practice come first.</span>
            </p>
            <Settings s={s} dispatch={dispatch} />
            {s.check.value?.accepted === false && <Problems s={s} dispatch={dispatch} />}
            {!refused(s) && <Progress of={s.fault} doing="Thinking of every fault" />}
            {fault_current(s) && <Mistakes d={s.fault.value} />}
            {d && <Behaviours s={s} d={d} dispatch={dispatch} on={() => heading.current?.focus()} />}
            {d && <Answer s={s} d={d} dispatch={dispatch} heading={heading} />}
            <ReadingsList s={s} dispatch={dispatch} />
            {d && told && (
                <>
                    <DamageView of={d.damage} />
                    <RuledOut d={d} />
                    <Weights d={d} dispatch={dispatch} />
                </>
            )}
            <ReadingsFile s={s} dispatch={dispatch} />
            {d && <Basis d={d} />}
            {first && <p class="soft">The first answer takes some seconds.</p>}
        </>
    );
}
