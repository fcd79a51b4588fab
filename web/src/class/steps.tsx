/** The steps of building, to be ticked; the plan of the board with the wire in hand. */
import { useEffect, useRef, useState } from "preact/hooks";
import type { Lesson, Me, Phase, Step } from "../hall/answers";
import { end_words } from "../hall/words";
import { colour_word } from "../model/colours";
import { Drawing } from "../views/drawing";
import { tick } from "./pieces";
import type { Dispatch } from "./reducer";
import { next_step } from "./state";

function WireWords({ step }: { step: Step }) {
    const wire = step.wire;
    if (!wire) return <>{step.text}</>;
    return (
        <>
            <strong>
                Wire {wire.number}
                {wire.colour && `, ${colour_word(wire.colour)}`}
            </strong>
            {wire.colour && <span class="swatch" data-colour={wire.colour} aria-hidden="true" />}
            <span class="ends">
                <span class="mono">{wire.from}</span> <span class="soft">({end_words(wire.from)})</span> to{" "}
                <span class="mono">{wire.to}</span>
                {end_words(wire.to) !== wire.to && <span class="soft"> ({end_words(wire.to)})</span>}
            </span>
        </>
    );
}

function PhaseBox({
    phase,
    done,
    first,
    dispatch,
}: {
    phase: Phase;
    done: Set<number>;
    first: boolean;
    dispatch: Dispatch;
}) {
    const ticked = phase.steps.filter((s) => done.has(s.id)).length;
    const [open, set_open] = useState(first);
    const was_first = useRef(first);
    useEffect(() => {
        // not when it appears: what a hand opened meanwhile stays open
        if (was_first.current === first) return;
        was_first.current = first;
        set_open(first);
    }, [first]);
    return (
        <details class="phase" open={open} onToggle={(e) => set_open(e.currentTarget.open)}>
            <summary>
                <h2>{phase.title}</h2>{" "}
                <span class="counted">
                    {ticked === phase.steps.length ? "✓ done" : `${ticked} of ${phase.steps.length}`}
                </span>
            </summary>
            {phase.about && <p>{phase.about}</p>}
            <ul class="steps">
                {phase.steps.map((step) => (
                    <li key={step.id}>
                        <label>
                            <input
                                type="checkbox"
                                checked={done.has(step.id)}
                                onChange={(e) => tick(dispatch, step.id, e.currentTarget.checked)}
                            />
                            <span>
                                <WireWords step={step} />
                                {step.more && <span class="more">{step.more}</span>}
                            </span>
                        </label>
                    </li>
                ))}
            </ul>
            {phase.check && (
                <p class="advice">
                    <strong>Before you go on:</strong> {phase.check}
                </p>
            )}
        </details>
    );
}

/** The next wire is marked in every drawing of a board. */
function Plan({ boards, wire }: { boards: string[]; wire: number | null }) {
    const [open, set_open] = useState(false);
    const place = useRef<HTMLDivElement>(null);
    useEffect(() => {
        for (const group of place.current?.querySelectorAll("[data-wire]") ?? [])
            group.classList.toggle("now", Number(group.getAttribute("data-wire")) === wire);
    });
    return (
        <details class="plan" onToggle={(e) => set_open(e.currentTarget.open)}>
            <summary>Plan of the board</summary>
            {open && (
                <div ref={place}>
                    {boards.map((svg, k) => (
                        <Drawing key={k} svg={svg} class="board" />
                    ))}
                </div>
            )}
        </details>
    );
}

export function Steps({ lesson, me, dispatch }: { lesson: Lesson; me: Me; dispatch: Dispatch }) {
    const done = new Set(me.ticked);
    const next = next_step(lesson, me);
    const next_wire =
        lesson.phases.flatMap((p) => p.steps).find((step) => step.wire && !done.has(step.id))?.wire?.number ?? null;
    const here = lesson.phases.find((p) => p.steps.some((s) => s === next));
    return (
        <>
            <h1>Steps</h1>
            <p>
                {done.size} of {lesson.steps} done.{next ? "" : " The build is complete: go on with the checks."}{" "}
                Nothing is powered while you build.
            </p>
            <progress class="wide" max={lesson.steps} value={done.size} aria-label="Steps done" />
            {lesson.boards.length > 0 && <Plan boards={lesson.boards} wire={next_wire} />}
            {lesson.phases.map((phase) => (
                <PhaseBox key={phase.title} phase={phase} done={done} first={phase === here} dispatch={dispatch} />
            ))}
        </>
    );
}
