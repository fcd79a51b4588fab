/** The room as it is now: who must not switch on, who needs help, whose gate is to be passed, and everybody. */
import type { Room, Row } from "../hall/answers";
import { gate_title } from "../hall/answers";
import { GateMark } from "../hall/pieces";
import { ago, mark_words, time_words } from "../hall/words";
import { count } from "../model/words";
import { Scroll } from "../views/pieces";
import { name_of_deed, type Deed, type Dispatch } from "./reducer";
import { hash_of, in_order, urgent, type State } from "./state";

interface Props {
    s: State;
    room: Room;
    dispatch: Dispatch;
}

export const Name = ({ row }: { row: Row }) => <a href={hash_of({ view: "learner", id: row.id })}>{row.nickname}</a>;

/** One press on a learner's seat. */
export function DeedButton({
    s,
    row,
    deed,
    gate = 1,
    children,
    main = false,
    dispatch,
}: {
    s: State;
    row: Row;
    deed: Deed;
    gate?: number;
    children: string;
    main?: boolean;
    dispatch: Dispatch;
}) {
    // Not `disabled` meanwhile: that would take the focus away.
    const busy = s.busy.includes(name_of_deed(row.id, deed)) || (deed === "pass" && s.asked?.row.id === row.id);
    const act = () =>
        deed === "pass"
            ? dispatch({ do: "ask-pass", row, gate })
            : dispatch({ do: "deed", learner: row.id, deed, gate });
    return (
        <button class={main ? "main" : ""} aria-disabled={busy || undefined} onClick={() => busy || act()}>
            {children}
            <span class="unseen"> for {row.nickname}</span>
        </button>
    );
}

function Danger({ s, rows, dispatch }: { s: State; rows: Row[]; dispatch: Dispatch }) {
    return (
        <div role="status">
            {rows.length > 0 && (
                <section class="stop" aria-labelledby="danger">
                    <h2 id="danger" class="stop-head">
                        <span aria-hidden="true">✗ </span>STOP:{" "}
                        {rows.length === 1 ? "one build" : count(rows.length, "build")} must not be powered
                    </h2>
                    <ul>
                        {rows.map((row) => (
                            <li key={row.id}>
                                <p>
                                    <strong>
                                        <Name row={row} />
                                    </strong>
                                    : {row.danger}
                                </p>
                                {row.gate > 1 && (
                                    <p class="actions">
                                        <DeedButton s={s} row={row} deed="back" gate={1} dispatch={dispatch}>
                                            Back to gate 1
                                        </DeedButton>
                                    </p>
                                )}
                            </li>
                        ))}
                    </ul>
                </section>
            )}
        </div>
    );
}

function Wanted({ s, room, dispatch }: Props) {
    const { help, waiting } = urgent(room.learners);
    return (
        <div class="two">
            <section aria-labelledby="help">
                <h2 id="help">Help is wanted by {help.length || "nobody"}</h2>
                <ul class="ruled">
                    {help.map((row) => (
                        <li key={row.id} class="wrap">
                            <p class="grow">
                                <strong>
                                    ! <Name row={row} />
                                </strong>
                                {row.help!.about && <>: {row.help!.about}</>}{" "}
                                <span class="soft">{row.help!.since > 0 ? ago(row.help!.since, s.now) : ""}</span>
                            </p>
                            <DeedButton s={s} row={row} deed="helped" dispatch={dispatch}>
                                Helped
                            </DeedButton>
                        </li>
                    ))}
                </ul>
            </section>
            <section aria-labelledby="waiting">
                <h2 id="waiting">Waiting at a gate: {waiting.length || "nobody"}</h2>
                <ul class="ruled">
                    {waiting.map((row) => (
                        <li key={row.id} class="wrap">
                            <p class="grow">
                                <strong>
                                    <Name row={row} />
                                </strong>
                                : all readings of gate {row.gate} are right
                            </p>
                            <DeedButton
                                s={s}
                                row={row}
                                deed="pass"
                                gate={row.gate}
                                main
                                dispatch={dispatch}>{`Let pass gate ${row.gate}`}</DeedButton>
                        </li>
                    ))}
                </ul>
            </section>
        </div>
    );
}

/** Whether somebody is there, or when they were. */
export const seen_words = (row: Row, now: number): string => (row.here ? "here" : `last seen ${ago(row.last, now)}`);

function Now({ row, now }: { row: Row; now: number }) {
    const signs: string[] = [];
    if (row.danger) signs.push("✗ stop");
    if (row.help) signs.push("! help");
    if (row.waiting) signs.push(`▸ waits at gate ${row.gate}`);
    if (row.removed) signs.push("device shut out");
    return (
        <>
            {signs.length > 0 && (
                <>
                    <strong>{signs.join(", ")}</strong>;{" "}
                </>
            )}
            {seen_words(row, now)}
        </>
    );
}

function build_words({ builds, points, of }: Row): string {
    if (builds === 0) return "-";
    return points === null || of === null ? count(builds, "build") : mark_words(points, of);
}

interface RowProps {
    s: State;
    row: Row;
    steps: number;
    dispatch: Dispatch;
}
function LearnerRow({ s, row, steps, dispatch }: RowProps) {
    return (
        <tr role="row" class={row.danger ? "in-danger" : ""}>
            <th role="rowheader" scope="row">
                <Name row={row} />
            </th>
            <td role="cell">
                <GateMark gate={row.gate} />
            </td>
            <td role="cell">
                <Now row={row} now={s.now} />
            </td>
            <td role="cell" data-label="Steps">
                {row.ticked} of {steps}
                {row.next && <span class="next">next: {row.next}</span>}
            </td>
            <td role="cell" data-label="Readings">
                {row.right} right
                {row.wrong > 0 && (
                    <>
                        , <strong>{row.wrong} not</strong>
                    </>
                )}
            </td>
            <td role="cell" class="right" data-label="Hints">
                {row.hints || "-"}
            </td>
            <td role="cell" data-label="Build">
                {build_words(row)}
            </td>
            <td role="cell" class="no-print">
                {row.gate <= 2 && !row.danger && !row.removed && (
                    <DeedButton
                        s={s}
                        row={row}
                        deed="pass"
                        gate={row.gate}
                        dispatch={dispatch}>{`Pass gate ${row.gate}`}</DeedButton>
                )}
            </td>
        </tr>
    );
}

function Everybody({ s, room, dispatch }: Props) {
    if (room.learners.length === 0)
        return room.code === null ? (
            <p>
                Nobody is in the class, and nobody can join: <a href="#/class">make a new code</a>
            </p>
        ) : (
            <p>
                Nobody has joined yet. <a href="#/join">Show the code</a>
            </p>
        );
    return (
        <Scroll label="Everybody in the room">
            <table role="table" class="room cards">
                <thead role="rowgroup">
                    <tr role="row">
                        {["Nickname", "Gate", "Now", "Steps", "Readings", "Hints", "Build"].map((w) => (
                            <th key={w} role="columnheader" scope="col" class={w === "Hints" ? "right" : ""}>
                                {w}
                            </th>
                        ))}
                        <th role="columnheader" scope="col" class="no-print">
                            Let pass
                        </th>
                    </tr>
                </thead>
                <tbody role="rowgroup">
                    {in_order(room.learners).map((row) => (
                        <LearnerRow key={row.id} s={s} row={row} steps={room.steps} dispatch={dispatch} />
                    ))}
                </tbody>
            </table>
        </Scroll>
    );
}

export function RoomView({ s, room, dispatch }: Props) {
    const here = room.learners.filter((r) => r.here).length;
    return (
        <>
            <h1>{room.title}</h1>
            <p>
                {here} of {room.learners.length} here
                {room.code && (
                    <>
                        ; code <strong class="mono">{room.code}</strong>
                    </>
                )}
                <span class="print-only">, {time_words(s.now)}</span>
            </p>
            <Danger s={s} rows={urgent(room.learners).danger} dispatch={dispatch} />
            <Wanted s={s} room={room} dispatch={dispatch} />
            <section aria-labelledby="everybody">
                <h2 id="everybody">Everybody</h2>
                <Everybody s={s} room={room} dispatch={dispatch} />
                <p class="hint">
                    Gates: {[1, 2, 3, 4].map((g) => `${g} ${gate_title(g).toLowerCase()}`).join(", ")}. You pass 1 and
                    2; readings pass 3 and 4.
                </p>
            </section>
        </>
    );
}
