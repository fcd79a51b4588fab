/** The steps of building in one row, and how the plan of the board shows how far one is. */
import type { Build } from "../model/answers";
import { colour_word } from "../model/colours";

export interface BuildStep {
    phase: string;
    wire: number | null;
    part: string | null;
    text: string;
    more: string;
    check: string | null;
}

export function steps_of(build: Build): BuildStep[] {
    const wires = new Map(build.sheets.wires.map((w) => [w.number, w]));
    return build.sheets.phases.flatMap((phase) =>
        phase.steps.map((step, i): BuildStep => {
            const wire = step.wire === null ? undefined : wires.get(step.wire);
            const text = wire
                ? `Wire ${wire.number}${wire.colour ? `, ${colour_word(wire.colour)}` : ""}: ${wire.from} to ${wire.to}`
                : step.text;
            return {
                phase: phase.title,
                wire: step.wire,
                part: step.part,
                text,
                more: step.more,
                check: i === phase.steps.length - 1 ? phase.check : null,
            };
        }),
    );
}

export type StepClass = "done" | "now" | "later";
export interface StepClasses {
    wires: Map<string, StepClass>;
    parts: Map<string, StepClass>;
}

/** What of the plan is built, is being built, is still to come; null: everything is shown. */
export function step_classes(steps: BuildStep[], at: number | null): StepClasses | null {
    if (at === null) return null;
    const classes: StepClasses = { wires: new Map(), parts: new Map() };
    steps.forEach(({ wire, part }, i) => {
        const name: StepClass = i < at ? "done" : i === at ? "now" : "later";
        if (wire !== null) classes.wires.set(String(wire), name);
        if (part !== null) classes.parts.set(part, name);
    });
    return classes;
}

export function lighten(svg: SVGElement, lit: number | null, classes: StepClasses | null) {
    const put = (group: SVGElement, name: StepClass | undefined, on: boolean) => {
        for (const c of ["done", "now", "later"]) group.classList.toggle(c, name === c);
        group.classList.toggle("lit", on);
    };
    svg.classList.toggle("one-lit", lit !== null);
    for (const group of svg.querySelectorAll<SVGElement>("[data-wire]"))
        put(group, classes?.wires.get(group.dataset.wire!), group.dataset.wire === String(lit));
    for (const group of svg.querySelectorAll<SVGElement>("[data-part]"))
        put(group, classes?.parts.get(group.dataset.part!), false);
}
