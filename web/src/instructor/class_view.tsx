/** The class as a whole: what was done wrong how often, what learners may see, the code, and what is kept how long. */
import { useState } from "preact/hooks";
import type { Room, Summary } from "../hall/answers";
import { date_words, time_words } from "../hall/words";
import { count } from "../model/words";
import { Choose, Dialog, Mark } from "../views/pieces";
import { Cards, type Column } from "./cards";
import type { Dispatch } from "./reducer";
import { kept_of, type State } from "./state";

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
                            <strong>{count(readings, "reading")}</strong>
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

const share = (part: number, of: number) => (of === 0 ? "-" : `${part} of ${of}`);

function Gates({ summary }: { summary: Summary }) {
    return (
        <table>
            <caption>Gates</caption>
            <thead>
                <tr>
                    <th scope="col">Gate</th>
                    <th scope="col" class="right">
                        Passed
                    </th>
                    <th scope="col" class="right">
                        Waiting
                    </th>
                </tr>
            </thead>
            <tbody>
                {summary.gates.map((g) => (
                    <tr key={g.gate}>
                        <th scope="row">
                            {g.gate} {g.title.toLowerCase()}
                        </th>
                        <td class="right">{share(g.passed, summary.learners)}</td>
                        <td class="right">{g.waiting || "-"}</td>
                    </tr>
                ))}
            </tbody>
        </table>
    );
}

const whole_minutes = (minutes: number) => (minutes < 10 ? minutes.toFixed(1) : minutes.toFixed(0));

const minute_columns: Column[] = [
    { words: "Phase", wide: true },
    { words: "Planned", right: true },
    { words: "Taken (median)", right: true },
    { words: "Learners", right: true },
    { words: "Next time", right: true },
];

function Minutes({ summary }: { summary: Summary }) {
    const sum = (of: (m: Summary["minutes"][number]) => number) =>
        whole_minutes(summary.minutes.reduce((all, m) => all + of(m), 0));
    return (
        <>
            <Cards
                label="Minutes of the class"
                caption="Minutes: as planned, taken here, and as they correct the plan of the next class"
                columns={minute_columns}
                rows={[
                    ...summary.minutes.map((m) => ({
                        key: m.phase,
                        cells: [
                            m.words,
                            whole_minutes(m.planned),
                            m.minutes === null ? "-" : whole_minutes(m.minutes),
                            m.learners || "-",
                            whole_minutes(m.next),
                        ],
                    })),
                    { key: "", cells: ["All", sum((m) => m.planned), "-", "-", sum((m) => m.next)] },
                ]}
            />
            <p class="no-print">
                <a href="/api/class/minutes" download="minutes.csv">
                    Minutes as a file
                </a>{" "}
                for the time plan of the lesson notes:{" "}
                <span class="mono">voltsill sheets BENCH --for instructor --log minutes.csv</span>. Pauses of more than
                10 minutes count as 10.
            </p>
        </>
    );
}

function Counts({ caption, of, rows }: { caption: string; of: number; rows: Summary["kinds"] }) {
    if (rows.length === 0) return null;
    return (
        <table>
            <caption>{caption}</caption>
            <tbody>
                {rows.map((r) => (
                    <tr key={r.name}>
                        <th scope="row">{r.name}</th>
                        <td class="right whole">{share(r.learners, of)}</td>
                    </tr>
                ))}
            </tbody>
        </table>
    );
}

const mistake_columns: Column[] = [
    { words: "Mistake", wide: true },
    { words: "Alone it is", wide: true },
    { words: "Learners", right: true },
    { words: "Seen at" },
    { words: "Links", wide: true },
];

function Mistakes({ summary }: { summary: Summary }) {
    if (summary.mistakes.length === 0) return null;
    return (
        <Cards
            label="Mistakes of the class"
            caption="Mistakes, the most frequent first"
            columns={mistake_columns}
            rows={summary.mistakes.map((m) => ({
                key: m.words,
                cells: [
                    m.words,
                    <Mark verdict={m.harm} />,
                    share(m.learners, summary.handed_in),
                    m.gate > 0 ? `gate ${m.gate}` : "by eye",
                    m.links.join(", ") || "-",
                ],
            }))}
        />
    );
}

const reading_columns: Column[] = [
    { words: "Reading", wide: true },
    { words: "Link", wide: true },
    { words: "Gate", right: true },
    { words: "Entered by", right: true },
    { words: "Right now", right: true },
    { words: "Hints", right: true },
];

function Readings({ summary }: { summary: Summary }) {
    const entered = summary.checks.filter((c) => c.entered > 0).sort((a, b) => b.wrong - a.wrong || a.gate - b.gate);
    if (entered.length === 0) return null;
    return (
        <Cards
            label="Readings of the class"
            caption="Readings, the least often right first"
            columns={reading_columns}
            rows={entered.map((c) => ({
                key: c.id,
                cells: [
                    c.what,
                    c.link ?? "-",
                    c.gate,
                    share(c.entered, summary.learners),
                    share(c.right, c.entered),
                    c.hints || "-",
                ],
            }))}
        />
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
                {!summary ? (
                    <p>One moment</p>
                ) : (
                    <>
                        <p>
                            {count(summary.learners, "learner")}; {summary.handed_in} handed in a build
                            {summary.handed_in > 0 &&
                                `, ${summary.without_mistake} of them without a mistake, ${summary.harmful} that would harm a part`}
                            .
                        </p>
                        <div class="tables">
                            <Gates summary={summary} />
                            <Counts
                                caption="Kinds of mistakes"
                                of={summary.handed_in}
                                rows={summary.kinds.map((k) => ({ ...k, name: k.name.replaceAll("-", " ") }))}
                            />
                            <Counts caption="Links they touch" of={summary.handed_in} rows={summary.links} />
                        </div>
                        <Mistakes summary={summary} />
                        <Readings summary={summary} />
                        <Minutes summary={summary} />
                    </>
                )}
            </section>
        </>
    );
}
