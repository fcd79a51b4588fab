/** The checks, gate by gate: what to read, what was read, right or not, and hints for what is not. */
import { useEffect, useRef, useState } from "preact/hooks";
import type { Check, CheckKind, Entered, Gate, Lesson, Me } from "../hall/answers";
import type { Lost } from "../hall/kept_focus";
import { read_entry } from "../hall/numbers";
import { of_several, time_words } from "../hall/words";
import { enter } from "./pieces";
import type { Dispatch } from "./reducer";
import { waiting_reading, type State } from "./state";

interface Props {
    s: State;
    lesson: Lesson;
    me: Me;
    dispatch: Dispatch;
}

const unit_choices: Record<Exclude<CheckKind, "level">, string[]> = {
    ohms: ["Ω", "kΩ", "MΩ"],
    volts: ["V", "mV"],
    amps: ["mA", "A"],
};
const words_beside: Record<CheckKind, string[]> = {
    ohms: ["open"],
    volts: ["drifts"],
    amps: [],
    level: ["high", "low"],
};

/** Common practice, no source. */
const cautions = [
    "Every supply is off and its plug pulled. Measure resistance only like that. " +
        "Where a module hangs on a rail and it reads less, unplug the module and measure again.",
    "Only after the instructor has let you pass gate 1. Set each supply to its voltage and limit before anything " +
        "hangs on it, and switch on in the order of this list; off at once when anything gets warm.",
    "One probe on ground, one on the point. Do not let a probe touch two pins.",
    "The program says the level now; read what arrives.",
];

interface EntryProps {
    s: State;
    check: Check;
    /** It takes the place of the button that asked for it, and the focus that was there. */
    again: boolean;
    dispatch: Dispatch;
}
/** A field for a number with its unit, and buttons for what a meter shows without one. */
function Entry({ s, check, again, dispatch }: EntryProps) {
    const kind = check.kind;
    const units = kind === "level" ? [] : unit_choices[kind];
    const [unit, set_unit] = useState(units[0] ?? "");
    const typed = s.drafts.readings[check.id] ?? "";
    const send = (text: string) => {
        const read = read_entry(kind, text);
        if ("send" in read) enter(dispatch, check.id, read.send);
        else dispatch({ do: "trouble", at: check.id, words: read.trouble });
    };
    const form = useRef<HTMLFormElement>(null);
    useEffect(() => {
        if (again) form.current?.querySelector<HTMLElement>("input, button")?.focus();
    }, []);
    const trouble = s.troubles[check.id];
    const own_unit = /[a-zµΩ\u2126∞]/i.test(typed);
    const id = `entry-${check.id}`;
    return (
        <form
            ref={form}
            class="entry"
            onSubmit={(e) => {
                e.preventDefault();
                send(own_unit || typed.trim() === "" ? typed : `${typed} ${unit}`);
            }}>
            {kind !== "level" && (
                <>
                    <input
                        id={id}
                        value={typed}
                        inputMode="decimal"
                        autocomplete="off"
                        spellcheck={false}
                        size={7}
                        aria-label={`Reading of ${check.what}`}
                        aria-invalid={Boolean(trouble)}
                        aria-describedby={trouble ? `${id}-trouble` : undefined}
                        onInput={(e) => dispatch({ do: "draft-reading", check: check.id, text: e.currentTarget.value })}
                    />
                    <select
                        aria-label={`Unit of ${check.what}`}
                        value={unit}
                        disabled={own_unit}
                        onChange={(e) => set_unit(e.currentTarget.value)}>
                        {units.map((u) => (
                            <option key={u}>{u}</option>
                        ))}
                    </select>
                    <button>
                        Enter<span class="unseen"> reading of {check.what}</span>
                    </button>
                </>
            )}
            {words_beside[kind].map((word) => (
                <button key={word} type="button" onClick={() => send(word)}>
                    {word}
                    <span class="unseen"> for {check.what}</span>
                </button>
            ))}
            {trouble && (
                <p class="trouble" role="alert" id={`${id}-trouble`}>
                    {trouble}
                </p>
            )}
        </form>
    );
}

const hint_names = ["a question", "a reading to take", "the cause"];

function Hints({ s, me, check, state, dispatch }: Omit<Props, "lesson"> & { check: Check; state: Entered }) {
    const known = s.hints[check.id] ?? {};
    const deepest = Math.min(3, state.hints + 1, me.hints_open);
    const given = [1, 2, 3].flatMap((depth) => (known[depth] ? [{ depth, ...known[depth] }] : []));
    const last = given[given.length - 1];
    return (
        <div class="hints">
            <p class="unseen" role="status">
                {last && `Hint ${last.depth} for ${check.what} is here.`}
            </p>
            {last?.keep_off && (
                <p class="advice" role="alert">
                    <strong>Power off.</strong> {last.keep_off}
                </p>
            )}
            {given.map(({ depth, text }) => (
                <p key={depth} class="given">
                    <strong>
                        Hint {depth}, {hint_names[depth - 1]}:
                    </strong>{" "}
                    {text}
                </p>
            ))}
            {last?.from_sheet && <p class="soft">From the sheet, for this reading alone: {last.from_sheet}.</p>}
            <p class="actions">
                {[1, 2, 3]
                    .filter((depth) => depth <= deepest && !known[depth])
                    .map((depth) => (
                        <button
                            key={depth}
                            type="button"
                            onClick={() => dispatch({ do: "ask-hint", check: check.id, depth })}>
                            Hint {depth}: {hint_names[depth - 1]}
                            <span class="unseen"> for {check.what}</span>
                        </button>
                    ))}
                {me.hints_open === 0 && <span class="soft">Hints are closed: ask the instructor.</span>}
            </p>
        </div>
    );
}

function Result({ check, state, waits }: { check: Check; state: Entered | undefined; waits: string | null }) {
    if (waits !== null)
        return (
            <p class="result">
                <span class="sign-word">… not sent yet</span> <span class="mono">{waits}</span>
            </p>
        );
    if (!state) return null;
    return (
        <>
            <p class={`result ${state.right ? "" : "is-wrong"}`}>
                <span class="sign-word">{state.right ? "✓ right" : "✗ not right"}</span>{" "}
                <span class="mono">{state.entered}</span>
            </p>
            {!state.right && check.meter && (
                <p class="hint">An error of the meter of {check.meter} has been allowed for.</p>
            )}
        </>
    );
}

function CheckRow(props: Props & { check: Check; open: boolean }) {
    const { s, me, check, open, dispatch } = props;
    const [again, set_again] = useState(false);
    const state = me.checks[check.id];
    const waits = waiting_reading(s.queue, check.id);
    const settled = (state?.right ?? false) && waits === null;
    return (
        <li class="check" id={`check-${check.id}`}>
            <p class="what">{check.what}</p>
            {open && (!settled || again) && of_several(check.what) && (
                <p class="hint">Several pins: read each, and write the one that is farthest off.</p>
            )}
            <Result check={check} state={state} waits={waits} />
            {open && (!settled || again) && <Entry s={s} check={check} again={again} dispatch={dispatch} />}
            {open && settled && !again && (
                <button type="button" class="quiet" onClick={() => set_again(true)}>
                    Read again<span class="unseen"> {check.what}</span>
                </button>
            )}
            {open && state && !state.right && waits === null && <Hints {...props} check={check} state={state} />}
        </li>
    );
}

function GateBox(props: Props & { gate: Gate }) {
    const { me, gate } = props;
    const at = me.passed[gate.gate - 1] ?? null;
    const open = gate.gate <= me.gate;
    const right = gate.checks.filter((c) => me.checks[c.id]?.right).length;
    const list = gate.checks.map((check) => <CheckRow key={check.id} {...props} check={check} open={open} />);
    return (
        <section class={`gate ${open ? "" : "closed"}`} aria-labelledby={`gate-${gate.gate}`}>
            <h2 id={`gate-${gate.gate}`}>
                Gate {gate.gate}: {gate.title}
            </h2>
            <p class="gate-state">
                {at !== null
                    ? `✓ passed at ${time_words(at)}`
                    : gate.gate === me.gate
                      ? "▸ you are here"
                      : `opens after gate ${gate.gate - 1}`}
                {gate.checks.length > 0 && `, ${right} of ${gate.checks.length} right`}
            </p>
            <p class="advice">{cautions[gate.gate - 1]}</p>
            {gate.gate === me.gate && me.waiting && (
                <p class="advice all-right">
                    <strong>All readings of this gate are right.</strong> The instructor sees it and comes to let you
                    pass.
                </p>
            )}
            {gate.gate === me.gate ? (
                <ul class="checks">{list}</ul>
            ) : (
                <details>
                    <summary>
                        {gate.checks.length} checks<span class="unseen"> of gate {gate.gate}</span>
                    </summary>
                    <ul class="checks">{list}</ul>
                </details>
            )}
        </section>
    );
}

/** Where a learner goes on whose field, button or list has gone: at the same check while it is open, then at the next
 *  that is not right, then at what is said of the gate. A gate that has opened begins at its head, with the caution. */
export function next_asked({ inside }: Lost, gate: number): HTMLElement | null {
    const row = inside.find((e) => e.matches("li.check"));
    const list = row?.parentElement;
    if (!row || !list?.isConnected) return document.getElementById(`gate-${Math.min(gate, 4)}`);
    const rows = [...list.querySelectorAll<HTMLElement>("li.check")];
    const at = rows.indexOf(row);
    const asked = [...rows.slice(at), ...rows.slice(0, at)].find((r) => r.querySelector("form.entry"));
    if (!asked) return list.closest("section")?.querySelector<HTMLElement>(".all-right") ?? row.querySelector("button");
    const hints = asked === row ? [...row.querySelectorAll<HTMLElement>(".hints .given")] : [];
    return hints[hints.length - 1] ?? asked.querySelector<HTMLElement>("form.entry :is(input, button)");
}

export function Checks(props: Props) {
    return (
        <>
            <h1>Checks</h1>
            <p>
                {props.me.gate > 4
                    ? "All gates are passed."
                    : "Gates 1 and 2 are passed by the instructor, 3 and 4 by your readings."}{" "}
                Read a rail, or ground, on its strip of the board, or at a pin that is on it.
            </p>
            {props.lesson.gates.map((gate) => (
                <GateBox key={gate.gate} {...props} gate={gate} />
            ))}
        </>
    );
}
