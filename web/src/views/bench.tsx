/** The bench: what is on it, what is meant to be joined, and what comes of it. */
import { useState } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import { rows } from "../model/bench_rows";
import { current, type State } from "../model/state";
import { count, span } from "../model/words";
import { Links } from "./bench_links";
import { Parts, Rails, type Open } from "./bench_lists";
import { Drawing, pressable } from "./drawing";
import { JoinForm } from "./join_form";
import { PartForm, PartSearch } from "./part_forms";
import { Mark, Progress } from "./pieces";
import { PlanDecides } from "./plan_decides";
import { Problems } from "./problems";
import { RailForm } from "./rail_form";

function RailMap({ s, dispatch }: { s: State; dispatch: Dispatch }) {
    const svg = s.drawings.value?.accepted ? s.drawings.value.rail_map : null;
    if (!svg) return <Progress of={s.drawings} doing="Drawing the map of rails" />;
    const ready = (drawn: SVGElement) =>
        pressable(drawn, "[data-link]", (group) => {
            const names = (group.dataset.link ?? "").split(", ");
            const words = (group.textContent ?? "").replace(/\s+/g, " ").trim();
            return {
                words: `Open ${words}`,
                act: () => dispatch({ do: "go", route: { view: "link", link: names[0]! } }),
            };
        });
    return (
        <figure class={current(s, s.drawings) ? "" : "older"}>
            <Drawing svg={svg} ready={ready} active />
            <figcaption>Rails by voltage, links between them. Press a link to open it.</figcaption>
        </figure>
    );
}

function Shared({ s }: { s: State }) {
    const judgement = s.read?.judgement;
    const shared = (judgement?.shared ?? []).map((i) => judgement!.findings[i]!).filter((f) => f.verdict !== "safe");
    if (shared.length === 0) return null;
    return (
        <section aria-labelledby="shared">
            <h2 id="shared">Rails and parts</h2>
            <ul class="ruled">
                {shared.map((f, i) => (
                    <li key={i} class="wrap">
                        <Mark verdict={f.verdict} />
                        <div class="grow">
                            {f.sentence}
                            <p class="soft">{f.advice}</p>
                        </div>
                    </li>
                ))}
            </ul>
        </section>
    );
}

export function BenchView({ s, dispatch }: { s: State; dispatch: Dispatch }) {
    const [open, set_open] = useState<Open>(null);
    const all = rows(s);
    const close = () => set_open(null);
    const same = { s, dispatch, all, close };
    return (
        <>
            <h1>{s.read?.bench.title || "Bench"}</h1>
            <p class="soft">
                {count(all.rails.length, "rail")}, {count(all.parts.length, "part")}, {count(all.links.length, "link")}
                {s.read && ` at ${span(s.read.bench.ambient)}`}
            </p>
            <Problems s={s} dispatch={dispatch} />
            <PlanDecides s={s} />
            <Links s={s} all={all} dispatch={dispatch} open={set_open} />
            <Shared s={s} />
            {all.links.length > 0 && <RailMap s={s} dispatch={dispatch} />}
            <div class="two">
                <Rails all={all} open={set_open} dispatch={dispatch} />
                <Parts s={s} all={all} open={set_open} dispatch={dispatch} />
            </div>
            {open?.form === "rail" && <RailForm {...same} of={open.of} />}
            {open?.form === "part" && <PartForm {...same} of={open.of} />}
            {open?.form === "search" && <PartSearch {...same} add_rail={() => set_open({ form: "rail", of: null })} />}
            {open?.form === "join" && <JoinForm {...same} from={open.from} to={open.to} />}
        </>
    );
}
