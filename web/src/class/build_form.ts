/** What a learner says of the wires in the build, and the wire list made of it (docs/marking.md). */
import type { Lesson, PlannedWire } from "../hall/answers";

export type Said = { how: "planned" } | { how: "missing" } | { how: "other"; from: string; to: string };
export interface ExtraWire {
    from: string;
    to: string;
}
export interface MovedPart {
    part: string;
    how: "at" | "turned" | "missing";
    hole: string;
}
export interface BuildForm {
    said: Record<number, Said>;
    extra: ExtraWire[];
    parts: MovedPart[];
}

export const empty_form: BuildForm = { said: {}, extra: [], parts: [] };

export const wires_of = (lesson: Lesson): PlannedWire[] =>
    lesson.phases.flatMap((p) => p.steps.flatMap((s) => (s.wire ? [s.wire] : []))).sort((a, b) => a.number - b.number);

/** Nothing is said yet of these; of an "other" wire both ends have to be said. */
export const open_wires = (form: BuildForm, wires: PlannedWire[]): PlannedWire[] =>
    wires.filter(({ number }) => {
        const said = form.said[number];
        return !said || (said.how === "other" && (said.from.trim() === "" || said.to.trim() === ""));
    });

/** Wires whose step is ticked count as wired as planned, where nothing else was said of them. */
export function said_by_ticks(form: BuildForm, lesson: Lesson, ticked: number[]): BuildForm {
    const done = new Set(ticked);
    const said = { ...form.said };
    for (const step of lesson.phases.flatMap((p) => p.steps))
        if (step.wire && done.has(step.id)) said[step.wire.number] ??= { how: "planned" };
    return { ...form, said };
}

/** A field of a CSV row (RFC 4180). */
function field(text: string): string {
    const plain = !/[",\r\n]/.test(text);
    return plain ? text : '"' + text.replaceAll('"', '""') + '"';
}

export function wire_list(form: BuildForm, wires: PlannedWire[]): string {
    const rows: string[][] = [["kind", "from", "to", "value", "note"]];
    for (const wire of wires) {
        const said = form.said[wire.number];
        if (!said || said.how === "missing") continue;
        const { from, to } = said.how === "other" ? said : wire;
        rows.push(["wire", from.trim(), to.trim(), "", `wire ${wire.number}`]);
    }
    for (const wire of form.extra)
        if (wire.from.trim() || wire.to.trim())
            rows.push(["wire", wire.from.trim(), wire.to.trim(), "", "not in the plan"]);
    for (const { part, how, hole } of form.parts)
        if (part.trim()) rows.push(["part", part.trim(), how === "at" ? hole.trim() : "", how === "at" ? "" : how, ""]);
    return rows.map((row) => row.map(field).join(",") + "\n").join("");
}
