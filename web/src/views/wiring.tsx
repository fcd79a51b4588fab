/** How to wire it: packages, the plan of the board, the list of wires, and the steps of building one by one. */
import { useLayoutEffect, useRef, useState } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import type { Build, LaidWire } from "../model/answers";
import { colour_word } from "../model/colours";
import { current, type State } from "../model/state";
import { bring_in, Drawing } from "./drawing";
import { Progress, Scroll } from "./pieces";
import { PlanDecides } from "./plan_decides";
import { lighten, step_classes, steps_of, type BuildStep } from "./steps";

interface Lit {
    wire: number | null;
    set: (wire: number | null) => void;
    /** A wire was chosen in one place: it is brought into sight in the other. */
    chosen: { wire: number; on: "plan" | "list" } | null;
    choose: (wire: number, on: "plan" | "list") => void;
}

/** The page first, so that it is in sight at all; then what scrolls within it. */
function bring_page_to(of: Element | null | undefined) {
    of?.scrollIntoView({ block: "center", inline: "nearest" });
}

function Boards({ build, lit, step, steps }: { build: Build; lit: Lit; step: number | null; steps: BuildStep[] }) {
    const place = useRef<HTMLDivElement>(null);
    const ready = (svg: SVGElement) => {
        const wire_of = (e: Event) => (e.target as Element).closest<SVGElement>("[data-wire]")?.dataset.wire;
        svg.addEventListener("pointerover", (e) => lit.set(wire_of(e) ? Number(wire_of(e)) : null));
        svg.addEventListener("pointerleave", () => lit.set(null));
        svg.addEventListener("click", (e) => {
            if (wire_of(e)) lit.choose(Number(wire_of(e)), "plan");
        });
    };
    useLayoutEffect(() => {
        if (lit.chosen?.on !== "list") return;
        const wire = place.current?.querySelector<SVGElement>(`.board svg [data-wire="${lit.chosen.wire}"]`);
        bring_page_to(wire);
        bring_in(wire ?? null);
    }, [lit.chosen]);
    useLayoutEffect(() => {
        const classes = step_classes(steps, step);
        place.current?.querySelectorAll<SVGElement>(".board svg").forEach((svg) => {
            lighten(svg, lit.wire, classes);
            if (step === null) return;
            const now = svg.querySelector<SVGElement>("[data-wire].now, [data-part].now");
            bring_in(now);
            if (now && matchMedia("(max-width: 48rem)").matches)
                now.scrollIntoView({ block: "center", inline: "nearest" });
        });
    }, [build, lit.wire, step]);
    return (
        <div ref={place}>
            {build.boards.map((svg, i) => (
                <figure key={i} class="board">
                    <figcaption>Board {i + 1}</figcaption>
                    <Drawing svg={svg} ready={ready} />
                </figure>
            ))}
            <details>
                <summary>What the signs on the plan mean</summary>
                <figure>
                    <Drawing svg={build.key} />
                </figure>
            </details>
        </div>
    );
}

function Stepper({ steps, step, go }: { steps: BuildStep[]; step: number | null; go: (step: number | null) => void }) {
    const now = step === null ? null : steps[step];
    const move = (by: number) => go(Math.min(Math.max((step ?? -1) + by, 0), steps.length - 1));
    const keys = (e: KeyboardEvent) => {
        const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[e.key];
        if (e.key === "Escape") go(null);
        else if (by) move(by);
        else return;
        e.preventDefault();
    };
    return (
        <section class={`stepper ${now ? "begun" : ""}`} aria-labelledby="steps" onKeyDown={keys}>
            <h2 id="steps">Step by step</h2>
            <p class="actions">
                <button onClick={() => move(-1)} disabled={step === null || step === 0}>
                    Previous
                </button>{" "}
                <button class="main" onClick={() => move(1)} disabled={step === steps.length - 1}>
                    {step === null ? "Begin" : "Next"}
                </button>{" "}
                {step !== null && <button onClick={() => go(null)}>Show everything</button>}
            </p>
            <p class="hint">Arrow keys go on and back while the focus is here.</p>
            <div role="status" class="step-now">
                {now && (
                    <>
                        <p class="soft">
                            {now.phase}, step {step! + 1} of {steps.length}
                        </p>
                        <p>
                            <strong>{now.text}</strong>
                        </p>
                        {now.more && <p>{now.more}</p>}
                        {now.check && <p class="advice">Before you go on: {now.check}</p>}
                    </>
                )}
            </div>
        </section>
    );
}

function WireList({ wires, lit, now }: { wires: LaidWire[]; lit: Lit; now: number | null }) {
    const place = useRef<HTMLElement>(null);
    useLayoutEffect(() => {
        if (lit.chosen?.on !== "plan") return;
        const row = place.current?.querySelector(`[data-row="${lit.chosen.wire}"]`);
        row?.querySelector("button")?.focus({ preventScroll: true });
        bring_page_to(row);
    }, [lit.chosen]);
    return (
        <section aria-labelledby="wires" ref={place}>
            <h2 id="wires">Wire list</h2>
            <Scroll label="Wires from first to last">
                <table class="wires">
                    <thead>
                        <tr>
                            <th>Wire</th>
                            <th>From</th>
                            <th>To</th>
                            <th>Use</th>
                            <th>Colour</th>
                            <th class="right">Length</th>
                            <th>Net</th>
                        </tr>
                    </thead>
                    <tbody>
                        {wires.map((w) => (
                            <tr
                                key={w.number}
                                data-row={w.number}
                                class={[
                                    [lit.wire, lit.chosen?.wire].includes(w.number) && "lit",
                                    now === w.number && "now",
                                ]
                                    .filter(Boolean)
                                    .join(" ")}
                                onPointerEnter={() => lit.set(w.number)}
                                onPointerLeave={() => lit.set(null)}>
                                <th scope="row">
                                    <button
                                        class="quiet"
                                        aria-label={`Show wire ${w.number} on the plan`}
                                        onFocus={() => lit.set(w.number)}
                                        onBlur={() => lit.set(null)}
                                        onClick={() => lit.choose(w.number, "list")}>
                                        {w.number}
                                    </button>
                                </th>
                                <td class="mono">{w.from}</td>
                                <td class="mono">{w.to}</td>
                                <td>{w.use}</td>
                                <td>{colour_word(w.colour ?? "")}</td>
                                <td class="right whole">
                                    {w.length === null ? "" : `${Math.round(100 * w.length)} cm`}
                                </td>
                                <td>{w.net}</td>
                            </tr>
                        ))}
                    </tbody>
                </table>
            </Scroll>
        </section>
    );
}

function Packages({ s }: { s: State }) {
    // Channels are dealt out anew when the parts are placed: before the boards are there, other pins would be shown.
    const { value: built } = s.build;
    const unplaced = built?.accepted === false && s.drawings.value?.accepted ? s.drawings.value : null;
    const packages = (built?.accepted ? built : unplaced)?.packages ?? [];
    if (packages.length === 0) return null;
    return (
        <section aria-labelledby="packages">
            <h2 id="packages">Packages</h2>
            <div class="packages">
                {packages.map((p) => (
                    <figure key={p.part}>
                        <Drawing svg={p.svg} />
                    </figure>
                ))}
            </div>
        </section>
    );
}

function Take({ s, dispatch }: { s: State; dispatch: Dispatch }) {
    const given = s.drawings.value?.wiring_from === "given" || s.read?.wiring_from === "given";
    const edit = (what: "take-plan" | "drop-wiring", word: string) => () =>
        dispatch({ do: "edit", edits: [{ do: what }], word });
    if (given)
        return (
            <p>
                This is the wiring of the bench file.{" "}
                <button onClick={edit("drop-wiring", "drop the wiring")}>Remove it from the file and plan anew</button>
            </p>
        );
    return (
        <p>
            This is a plan; the file knows nothing of it yet.{" "}
            <button onClick={edit("take-plan", "take the plan")}>Take the plan into the file</button>
        </p>
    );
}

export function WiringView({ s, dispatch }: { s: State; dispatch: Dispatch }) {
    const [wire, set_wire] = useState<number | null>(null);
    const [step, set_step] = useState<number | null>(null);
    const build = s.build.value?.accepted ? s.build.value : null;
    const steps = build ? steps_of(build) : [];
    const at = step !== null && step < steps.length ? step : null;
    const [chosen, set_chosen] = useState<Lit["chosen"]>(null);
    const choose: Lit["choose"] = (to, on) => {
        set_wire(to);
        set_chosen({ wire: to, on });
    };
    const lit = { wire, set: set_wire, chosen, choose };
    const notes =
        s.plan.value?.accepted && current(s, s.plan) && s.read?.wiring_from !== "given" ? s.plan.value.notes : [];
    return (
        <>
            <h1>Wiring</h1>
            <Take s={s} dispatch={dispatch} />
            {notes.length > 0 && (
                <ul>
                    {notes.map((note) => (
                        <li key={note}>{note}</li>
                    ))}
                </ul>
            )}
            <PlanDecides s={s} />
            <Progress of={s.build} doing="Finding places on the board" />
            {build && build.sheets.not_placed && <p class="trouble">{build.sheets.not_placed}</p>}
            {build && build.sheets.unwired.length > 0 && (
                <p class="trouble">Without an interface circuit: {build.sheets.unwired.join(", ")}.</p>
            )}
            {build && (
                <div class={`build ${current(s, s.build) ? "" : "older"}`}>
                    <Stepper steps={steps} step={at} go={set_step} />
                    <Boards build={build} lit={lit} step={at} steps={steps} />
                    <WireList wires={build.sheets.wires} lit={lit} now={at === null ? null : steps[at]!.wire} />
                </div>
            )}
            <div class={s.build.value?.accepted && !current(s, s.build) ? "older" : ""}>
                <Packages s={s} />
            </div>
        </>
    );
}
