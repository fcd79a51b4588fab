/** The planned wires of a build, each confirmed as it really is. */
import { useState } from "preact/hooks";
import type { PlannedWire } from "../hall/answers";
import { end_words } from "../hall/words";
import { colour_word } from "../model/colours";
import { Field } from "../views/pieces";
import { open_wires, type BuildForm, type Said } from "./build_form";

export interface FormProps {
    form: BuildForm;
    wires: PlannedWire[];
    ends: string[];
    change: (form: BuildForm) => void;
}

const said_word: Record<Said["how"], string> = {
    planned: "✓ as planned",
    other: "≠ otherwise",
    missing: "– not there",
};

function End({ end }: { end: string }) {
    const words = end_words(end);
    return (
        <>
            <span class="mono">{end}</span>
            {words !== end && <span class="soft"> ({words})</span>}
        </>
    );
}

interface AllProps {
    form: BuildForm;
    wires: PlannedWire[];
    at: number;
    go: (at: number) => void;
}
function AllWires({ form, wires, at, go }: AllProps) {
    const words = (said: Said | undefined) => (said ? said_word[said.how] : "not said yet");
    return (
        <details>
            <summary>All wires</summary>
            <ul class="wire-list">
                {wires.map((w, k) => (
                    <li key={w.number}>
                        <button class="quiet" aria-current={k === at ? "true" : undefined} onClick={() => go(k)}>
                            Wire {w.number}
                        </button>{" "}
                        {words(form.said[w.number])}
                    </li>
                ))}
            </ul>
        </details>
    );
}

/** One wire after the other, so that each is looked at. */
export function WireByWire({ form, wires, ends, change }: FormProps) {
    const [at, set_at] = useState(() => Math.max(0, wires.indexOf(open_wires(form, wires)[0]!)));
    const wire = wires[at]!;
    const said = form.said[wire.number];
    const say = (next: Said, go_on: boolean) => {
        change({ ...form, said: { ...form.said, [wire.number]: next } });
        if (go_on && at + 1 < wires.length) set_at(at + 1);
    };
    const other = said?.how === "other" ? said : { how: "other" as const, from: wire.from, to: wire.to };
    return (
        <section class="wire-card" aria-labelledby="wire-in-hand">
            <div role="status">
                <h3 id="wire-in-hand">
                    Wire {wire.number}
                    {wire.colour && `, ${colour_word(wire.colour)}`}
                    {wire.colour && <span class="swatch" data-colour={wire.colour} aria-hidden="true" />}
                </h3>
                <p>
                    Planned from <End end={wire.from} /> to <End end={wire.to} />.{" "}
                    {said ? `You said: ${said_word[said.how].slice(2)}.` : "How is it in your build?"}
                </p>
            </div>
            <p class="actions">
                <button
                    class="large"
                    aria-pressed={said?.how === "planned"}
                    onClick={() => say({ how: "planned" }, true)}>
                    As planned
                </button>
                <button class="large" aria-pressed={said?.how === "other"} onClick={() => say(other, false)}>
                    Otherwise
                </button>
                <button
                    class="large"
                    aria-pressed={said?.how === "missing"}
                    onClick={() => say({ how: "missing" }, true)}>
                    Not there
                </button>
            </p>
            {said?.how === "other" && (
                <div class="fields">
                    <Field
                        label="It goes from"
                        value={said.from}
                        on={(from) => say({ ...said, from }, false)}
                        list={ends}
                        required
                        mono
                    />
                    <Field
                        label="to"
                        value={said.to}
                        on={(to) => say({ ...said, to }, false)}
                        list={ends}
                        required
                        mono
                    />
                </div>
            )}
            <p class="actions">
                <button disabled={at === 0} onClick={() => set_at(at - 1)}>
                    Previous wire
                </button>
                <button disabled={at + 1 >= wires.length} onClick={() => set_at(at + 1)}>
                    Next wire
                </button>
            </p>
            <AllWires form={form} wires={wires} at={at} go={set_at} />
        </section>
    );
}
