/** Handing in a build: every wire of the plan is confirmed as it really is, and what is besides the plan is named. */
import { useState } from "preact/hooks";
import type { Lesson, Me, PlannedWire } from "../hall/answers";
import { BuildResult } from "../hall/pieces";
import { colour_word, end_words } from "../hall/words";
import { count } from "../model/words";
import { Choose, Field } from "../views/pieces";
import {
    open_wires,
    said_by_ticks,
    wire_list,
    wires_of,
    type BuildForm,
    type MovedPart,
    type Said,
} from "./build_form";
import { submit } from "./pieces";
import type { Dispatch } from "./reducer";
import { shown_me, type State } from "./state";

interface Props {
    s: State;
    lesson: Lesson;
    me: Me;
    dispatch: Dispatch;
}
interface FormProps {
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

/** One wire after the other, so that each is looked at. */
function WireByWire({ form, wires, ends, change }: FormProps) {
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
            <details>
                <summary>All wires</summary>
                <ul class="wire-list">
                    {wires.map((w, k) => (
                        <li key={w.number}>
                            <button
                                class="quiet"
                                aria-current={k === at ? "true" : undefined}
                                onClick={() => set_at(k)}>
                                Wire {w.number}
                            </button>{" "}
                            {form.said[w.number] ? said_word[form.said[w.number]!.how] : "not said yet"}
                        </li>
                    ))}
                </ul>
            </details>
        </section>
    );
}

function Besides({ form, ends, change }: FormProps) {
    const wire = (k: number, part: Partial<BuildForm["extra"][number]>) =>
        change({ ...form, extra: form.extra.map((w, i) => (i === k ? { ...w, ...part } : w)) });
    const part = (k: number, of: Partial<MovedPart>) =>
        change({ ...form, parts: form.parts.map((p, i) => (i === k ? { ...p, ...of } : p)) });
    return (
        <section aria-labelledby="besides">
            <h2 id="besides">Besides the plan</h2>
            {form.extra.map((w, k) => (
                <fieldset key={k} class="row">
                    <legend>Wire that is not in the plan</legend>
                    <div class="fields">
                        <Field label="From" value={w.from} on={(from) => wire(k, { from })} list={ends} required mono />
                        <Field label="to" value={w.to} on={(to) => wire(k, { to })} list={ends} required mono />
                    </div>
                    <button onClick={() => change({ ...form, extra: form.extra.filter((_, i) => i !== k) })}>
                        Take this wire out
                    </button>
                </fieldset>
            ))}
            {form.parts.map((p, k) => (
                <fieldset key={k} class="row">
                    <legend>Part that sits elsewhere</legend>
                    <div class="fields">
                        <Field
                            label="Part, such as U1 or C1.2"
                            value={p.part}
                            on={(name) => part(k, { part: name })}
                            required
                            mono
                        />
                        <Choose
                            label="How it sits"
                            value={p.how}
                            on={(how) => part(k, { how: how as MovedPart["how"] })}
                            options={[
                                { value: "at", words: "pin 1 in another hole" },
                                { value: "turned", words: "turned round" },
                                { value: "missing", words: "not there" },
                            ]}
                        />
                        {p.how === "at" && (
                            <Field
                                label="Hole of pin 1"
                                value={p.hole}
                                on={(hole) => part(k, { hole })}
                                required
                                mono
                            />
                        )}
                    </div>
                    <button onClick={() => change({ ...form, parts: form.parts.filter((_, i) => i !== k) })}>
                        Take this part out
                    </button>
                </fieldset>
            ))}
            <p class="actions">
                <button onClick={() => change({ ...form, extra: [...form.extra, { from: "", to: "" }] })}>
                    Add a wire
                </button>
                <button onClick={() => change({ ...form, parts: [...form.parts, { part: "", how: "at", hole: "" }] })}>
                    Add a part that sits elsewhere
                </button>
            </p>
        </section>
    );
}

export function BuildView({ s, lesson, me, dispatch }: Props) {
    const wires = wires_of(lesson),
        form = s.drafts.build;
    const change = (build: BuildForm) => dispatch({ do: "draft", drafts: { build } });
    const left = open_wires(form, wires).length;
    const waits = s.queue.some((p) => p.kind === "submit");
    const nothing = left === wires.length && form.extra.every((w) => !w.from && !w.to);
    return (
        <>
            <h1>Build</h1>
            <p>
                Look at each wire on your board and say how it is. A build that is wired another way and makes the same
                connections is as good.
            </p>
            {me.build && (
                <section aria-labelledby="handed-in">
                    <h2 id="handed-in">What you handed in last</h2>
                    <BuildResult build={me.build} />
                    {me.build.accepted && !me.build.released && (
                        <p class="soft">The instructor shows what was found when it is time.</p>
                    )}
                </section>
            )}
            {wires.length > 0 && (
                <section aria-labelledby="by-wire">
                    <h2 id="by-wire">Wire by wire</h2>
                    <p>
                        {wires.length - left} of {wires.length} said.
                    </p>
                    <progress class="wide" max={wires.length} value={wires.length - left} aria-label="Wires said" />
                    <WireByWire form={form} wires={wires} ends={lesson.ends} change={change} />
                    <p class="actions">
                        <button onClick={() => change(said_by_ticks(form, lesson, shown_me(me, s.queue).ticked))}>
                            Take my ticked steps as wired as planned
                        </button>
                    </p>
                </section>
            )}
            <Besides form={form} wires={wires} ends={lesson.ends} change={change} />
            <section aria-labelledby="hand-in">
                <h2 id="hand-in">Hand in</h2>
                {left > 0 && (
                    <p>
                        {count(left, "wire")} {left === 1 ? "has" : "have"} not been said: handed in like this,{" "}
                        {left === 1 ? "it counts" : "they count"} as not there.
                    </p>
                )}
                <p class="actions">
                    <button
                        class="main large"
                        disabled={nothing || waits}
                        onClick={() => submit(dispatch, wire_list(form, wires))}>
                        Hand in the build
                    </button>
                </p>
                {waits && <p>… not sent yet: it goes as soon as the server answers.</p>}
                {s.troubles["submit"] && (
                    <p class="trouble" role="alert">
                        {s.troubles["submit"]}
                    </p>
                )}
            </section>
        </>
    );
}
