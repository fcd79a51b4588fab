/** What is kept of a learner, and the way out. */
import { useState } from "preact/hooks";
import type { Lesson, Me } from "../hall/answers";
import { BuildResult, gate_words } from "../hall/pieces";
import type { Dispatch } from "./reducer";
import type { State } from "./state";

export function Mine({ s, lesson, me, dispatch }: { s: State; lesson: Lesson; me: Me; dispatch: Dispatch }) {
    const [sure, set_sure] = useState(false);
    const checks = Object.values(me.checks);
    return (
        <>
            <h1>Mine</h1>
            <dl>
                <div>
                    <dt>Nickname</dt>
                    <dd>{me.nickname}</dd>
                </div>
                <div>
                    <dt>Lesson</dt>
                    <dd>
                        {lesson.title}, version {lesson.version}
                    </dd>
                </div>
                <div>
                    <dt>Gate</dt>
                    <dd>{gate_words(me)}</dd>
                </div>
                <div>
                    <dt>Steps</dt>
                    <dd>
                        {me.ticked.length} of {lesson.steps} ticked
                    </dd>
                </div>
                <div>
                    <dt>Readings</dt>
                    <dd>
                        {checks.filter((c) => c.right).length} right, {checks.filter((c) => !c.right).length} not yet
                    </dd>
                </div>
            </dl>
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
