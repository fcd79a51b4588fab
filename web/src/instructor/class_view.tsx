/** The class as a whole: what was done wrong how often, what learners may see, the code, and what is kept how long. */
import { useState } from "preact/hooks";
import type { Room } from "../hall/answers";
import { date_words, time_words } from "../hall/words";
import { count } from "../model/words";
import { Choose, Dialog } from "../views/pieces";
import type { Dispatch } from "./reducer";
import { kept_of, type State } from "./state";
import { SummaryView } from "./summary";

interface Props {
    s: State;
    room: Room;
    dispatch: Dispatch;
}

const hint_choices = ["none", "a question", "a question and a reading to take", "all three, down to the cause"];

function Shown({ s, room, dispatch }: Props) {
    // While the server is asked, what was chosen stands; a box that springs back looks like a refusal.
    const [asked, set_asked] = useState({ hints: room.hints_open, marks: room.marks_open });
    const busy = s.busy.includes("settings");
    const { hints, marks } = busy ? asked : { hints: room.hints_open, marks: room.marks_open };
    const set = (to: typeof asked) => {
        set_asked(to);
        dispatch({ do: "settings", ...to });
    };
    return (
        <section aria-labelledby="shown">
            <h2 id="shown">What learners may see</h2>
            <div class="fields">
                <Choose
                    label="Hints for a wrong reading"
                    value={String(hints)}
                    on={(v) => set({ hints: Number(v), marks })}
                    options={hint_choices.map((words, value) => ({ value: String(value), words }))}
                />
            </div>
            {room.diagnosis !== null && (
                <p class="hint">
                    Hints come from the sheets until the diagnosis of this bench is made:{" "}
                    {Math.round(100 * room.diagnosis)} %.
                </p>
            )}
            <p>
                <label class="tick">
                    <input
                        type="checkbox"
                        checked={marks}
                        disabled={busy}
                        onChange={(e) => set({ hints, marks: e.currentTarget.checked })}
                    />
                    <span>Mistakes and marks of their builds</span>
                </label>
            </p>
        </section>
    );
}

function Code({ s, room, dispatch }: Props) {
    const [hours, set_hours] = useState("8");
    const busy = s.busy.includes("code");
    return (
        <section aria-labelledby="code">
            <h2 id="code">Joining</h2>
            <p>
                {room.code === null ? (
                    "Closed: nobody can join."
                ) : (
                    <>
                        Open with the code <strong class="mono">{room.code}</strong>
                        {room.code_until !== null &&
                            ` until ${time_words(room.code_until)}, ${date_words(room.code_until)}`}
                        . <a href="#/join">Show it large</a>
                    </>
                )}
            </p>
            <div class="fields">
                <Choose
                    label="A new code holds for"
                    value={hours}
                    on={set_hours}
                    options={["2", "4", "8", "24", "168"].map((h) => ({
                        value: h,
                        words: h === "168" ? "a week" : `${h} hours`,
                    }))}
                />
            </div>
            <p class="actions">
                <button disabled={busy} onClick={() => dispatch({ do: "code", open: true, hours: Number(hours) })}>
                    Make a new code
                </button>
                <button
                    disabled={busy || room.code === null}
                    onClick={() => dispatch({ do: "code", open: false, hours: 1 })}>
                    Close joining
                </button>
            </p>
        </section>
    );
}

function EndOfClass({ room, dispatch, close }: { room: Room; dispatch: Dispatch; close: () => void }) {
    const { learners, readings, builds } = kept_of(room.learners);
    return (
        <Dialog title="End the class" close={close}>
            {learners === 0 ? (
                <p>Nobody is in it, so nothing is deleted.</p>
            ) : (
                <>
                    <p>This goes for good, from the backup as well:</p>
                    <ul>
                        <li>
                            <strong>{count(learners, "learner")}</strong>, with nicknames, ticks, hints, gates and
                            minutes
                        </li>
                        <li>
                            <strong>{count(readings, "reading")}</strong> entered for gates, each try by itself
                        </li>
                        <li>
                            <strong>{count(builds, "build")}</strong> handed in
                        </li>
                    </ul>
                    <p>
                        Counts without names stay. The phones go back to joining.{" "}
                        <a href="/api/class/export" download="class.json">
                            Export the class first
                        </a>
                    </p>
                </>
            )}
            <p>Nobody can join until you make a new code.</p>
            <p class="actions">
                <button
                    class="main"
                    onClick={() => {
                        dispatch({ do: "end-class", learners });
                        close();
                    }}>
                    {learners === 0 ? "End it" : `End it and delete all of ${count(learners, "learner")}`}
                </button>
            </p>
        </Dialog>
    );
}

function Kept({ s, room, dispatch }: Props) {
    const [ending, set_ending] = useState(false);
    return (
        <section aria-labelledby="kept">
            <h2 id="kept">What is kept</h2>
            <p>Everything of learners is deleted on {date_words(room.kept_until)}; counts without names stay.</p>
            <p class="actions">
                <a href="/api/class/export" download="class.json">
                    Export the class
                </a>
                <a href="/api/class/export?anonymous=1" download="class-anonymous.json">
                    Export without names
                </a>
                <button disabled={s.busy.includes("backup")} onClick={() => dispatch({ do: "backup" })}>
                    Back up now
                </button>
                <button onClick={() => dispatch({ do: "sign-out" })}>Sign out</button>
            </p>
            <p class="actions">
                <button disabled={s.busy.includes("end-class")} onClick={() => set_ending(true)}>
                    End the class
                </button>
            </p>
            {ending && <EndOfClass room={room} dispatch={dispatch} close={() => set_ending(false)} />}
        </section>
    );
}

export function ClassView(props: Props) {
    const { summary } = props.s;
    return (
        <>
            <h1>Class: {props.room.title}</h1>
            <div class="no-print">
                <Shown {...props} />
                <Code {...props} />
                <Kept {...props} />
            </div>
            <section aria-labelledby="summary">
                <h2 id="summary">Summary</h2>
                {summary ? <SummaryView of={summary} /> : <p>One moment</p>}
            </section>
        </>
    );
}
