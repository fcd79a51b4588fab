/** Handing in a build: every wire of the plan is confirmed as it really is, and what is besides the plan is named. */
import type { Lesson, Me, PlannedWire } from "../hall/answers";
import { BuildResult } from "../hall/pieces";
import { count } from "../model/words";
import { Besides } from "./build_besides";
import { open_wires, said_by_ticks, wire_list, wires_of, type BuildForm } from "./build_form";
import { WireByWire } from "./build_wires";
import { submit } from "./pieces";
import type { Dispatch } from "./reducer";
import { shown_me, type State } from "./state";

interface Props {
    s: State;
    lesson: Lesson;
    me: Me;
    dispatch: Dispatch;
}

interface HandInProps {
    s: State;
    form: BuildForm;
    wires: PlannedWire[];
    dispatch: Dispatch;
}
function HandIn({ s, form, wires, dispatch }: HandInProps) {
    const left = open_wires(form, wires).length;
    const waits = s.queue.some((p) => p.kind === "submit");
    const nothing = left === wires.length && form.extra.every((w) => !w.from && !w.to);
    return (
        <section aria-labelledby="hand-in">
            <h2 id="hand-in">Hand in</h2>
            <p>
                Wires and parts, as they are said above. Readings are not handed in: what you enter under Checks counts
                for the gates.
            </p>
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
    );
}

export function BuildView({ s, lesson, me, dispatch }: Props) {
    const wires = wires_of(lesson);
    const form = s.drafts.build;
    const change = (build: BuildForm) => dispatch({ do: "draft", drafts: { build } });
    const left = open_wires(form, wires).length;
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
            <HandIn s={s} form={form} wires={wires} dispatch={dispatch} />
        </>
    );
}
