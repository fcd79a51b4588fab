/** What is kept of a learner, and the way out. */
import { useState } from "preact/hooks";
import type { Lesson, Me } from "../hall/answers";
import { BuildResult, gate_words } from "../hall/pieces";
import type { Dispatch } from "./reducer";
import type { State } from "./state";

function Facts({ lesson, me }: { lesson: Lesson; me: Me }) {
    const checks = Object.values(me.checks);
    const right = checks.filter((c) => c.right).length;
    const facts: [string, string][] = [
        ["Nickname", me.nickname],
        ["Lesson", `${lesson.title}, version ${lesson.version}`],
        ["Gate", gate_words(me)],
        ["Steps", `${me.ticked.length} of ${lesson.steps} ticked`],
        ["Readings for the gates", `${right} right, ${checks.length - right} not yet`],
    ];
    return (
        <dl>
            {facts.map(([what, words]) => (
                <div key={what}>
                    <dt>{what}</dt>
                    <dd>{words}</dd>
                </div>
            ))}
        </dl>
    );
}

export function Mine({ s, lesson, me, dispatch }: { s: State; lesson: Lesson; me: Me; dispatch: Dispatch }) {
    const [sure, set_sure] = useState(false);
    return (
        <>
            <h1>Mine</h1>
            <Facts lesson={lesson} me={me} />
            <h2>Marks</h2>
            {me.build?.released ? (
                <BuildResult build={me.build} />
            ) : (
                <p>
                    {me.build
                        ? "Not shown yet: the instructor shows the marks when it is time."
                        : "No build has been handed in."}
                </p>
            )}
            <h2>What is kept of me</h2>
            <p>
                Your nickname, ticks, readings, hints asked for, gates and builds, on the instructor's machine; on this
                phone what is not sent yet. Nothing else.
            </p>
            <p>
                <a href="/api/class/me/export" download="my-class.json">
                    Take a copy of it
                </a>
            </p>
            <h2>Leave the class</h2>
            <p>Leaving deletes all of it at once and for good.</p>
            <p>
                <label class="tick">
                    <input type="checkbox" checked={sure} onChange={(e) => set_sure(e.currentTarget.checked)} />{" "}
                    <span>Delete everything that is kept of me</span>
                </label>
            </p>
            <p class="actions">
                <button disabled={!sure} onClick={() => dispatch({ do: "leave" })}>
                    Leave and delete
                </button>
            </p>
            {s.troubles["leave"] && (
                <p class="trouble" role="status">
                    {s.troubles["leave"]}
                </p>
            )}
        </>
    );
}
