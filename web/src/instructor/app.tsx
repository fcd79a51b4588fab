/** The frame of the instructor's page. */
import { useEffect } from "preact/hooks";
import type { Room } from "../hall/answers";
import { heading_near, useKeptFocus } from "../hall/kept_focus";
import { Tabs, Waiting } from "../hall/pieces";
import { Foot, SkipLink } from "../views/pieces";
import { useViewStart } from "../views/view_start";
import { AskPass } from "./ask_pass";
import { ClassView } from "./class_view";
import { JoinScreen } from "./join_screen";
import { LearnerView } from "./learner";
import type { Dispatch } from "./reducer";
import { RoomView } from "./room";
import { SignIn } from "./sign_in";
import { hash_of, urgent, type State } from "./state";

interface Props {
    s: State;
    dispatch: Dispatch;
}

const tabs = { room: "Room", join: "Join", class: "Class" };

function View({ s, dispatch }: Props) {
    const room = s.room!;
    switch (s.route.view) {
        case "room":
            return <RoomView s={s} room={room} dispatch={dispatch} />;
        case "join":
            return <JoinScreen room={room} />;
        case "class":
            return <ClassView s={s} room={room} dispatch={dispatch} />;
        case "learner":
            return s.full ? (
                <LearnerView s={s} full={s.full} dispatch={dispatch} />
            ) : (
                <>
                    <h1>Learner</h1>
                    <p role="status">One moment</p>
                </>
            );
    }
}

/** What counts in every view. Room and learner say themselves who must not switch on. */
function Banners({ s, room, danger }: { s: State; room: Room; danger: number }) {
    const said_below = s.route.view === "room" || s.route.view === "learner";
    return (
        <section class="banners" aria-label="Notices">
            <p class={`network ${s.online ? "" : "silent"}`} role="status">
                {s.online ? "" : "No answer from the server: what is shown is what it said last."}
            </p>
            <div role="status">
                {danger > 0 && !said_below && (
                    <div class="stop">
                        <p class="stop-head">
                            <span aria-hidden="true">✗ </span>STOP:{" "}
                            <a href="#/room">
                                {danger === 1 ? "one build must" : `${danger} builds must`} not be powered
                            </a>
                        </p>
                    </div>
                )}
            </div>
            {room.warning && <p class="notice trouble no-print">! {room.warning}</p>}
        </section>
    );
}

export function App({ s, dispatch }: Props) {
    const there = s.stage === "in" && s.room !== null && (s.route.view !== "learner" || s.full !== null);
    const danger = s.room ? urgent(s.room.learners).danger.length : 0;
    const main = useViewStart(hash_of(s.route), there);
    useKeptFocus(main, heading_near);
    useEffect(() => {
        const head = document.querySelector("h1")?.textContent ?? "Class";
        document.title = `${danger > 0 ? "✗ STOP - " : ""}${head} - Voltsill`;
    });
    if (s.stage === "signing-in") return <SignIn s={s} dispatch={dispatch} />;
    if (s.stage !== "in" || !s.room) return <Waiting online={s.online} />;
    return (
        <>
            <SkipLink to={main} />
            <header class="hall-top wide">
                <p class="name">
                    <strong>Voltsill class</strong> <span class="mono">{s.room.bench}</span>
                </p>
                <Tabs views={tabs} here={s.route.view} />
            </header>
            <Banners s={s} room={s.room} danger={danger} />
            <main id="view" ref={main} tabIndex={-1}>
                <View s={s} dispatch={dispatch} />
            </main>
            {s.asked && <AskPass asked={s.asked} dispatch={dispatch} />}
            <Foot news={s.news} hush={() => dispatch({ do: "hush" })} />
        </>
    );
}
