/** The bench: what is on it, what is meant to be joined, and what comes of it. */
import { useState } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import type { Edit } from "../model/answers";
import { joinable, rows, type LinkRow, type PinRow, type RailRow, type Rows } from "../model/bench_rows";
import { hash_of } from "../model/routes";
import { current, type State } from "../model/state";
import { count, quantity, span } from "../model/words";
import { JoinForm, PartForm, PartSearch, RailForm } from "./bench_forms";
import { Drawing, pressable } from "./drawing";
import { Amount, Mark, ProblemWords, Progress, Scroll, Stroke } from "./pieces";

type Open =
    | { form: "rail"; of: string | null }
    | { form: "part"; of: string }
    | { form: "search" }
    | { form: "join"; from: string | null; to: string | null }
    | null;

const edit =
    (dispatch: Dispatch, word: string, ...edits: Edit[]) =>
    () =>
        dispatch({ do: "edit", edits, word });

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

function Rails({ all, open, dispatch }: { all: Rows; open: (o: Open) => void; dispatch: Dispatch }) {
    const row = ({ name, rail, volts }: RailRow) => (
        <li key={name}>
            <Stroke volts={volts} />
            <div class="grow">
                <strong>{name}</strong> <span>{rail ? span(rail.volts) : ""}</span>
                <p class="soft">
                    {[
                        rail?.limit && `up to ${quantity(rail.limit)}`,
                        rail?.from && `made by ${rail.from}`,
                        rail?.switch && `switched with ${rail.switch}`,
                    ]
                        .filter(Boolean)
                        .join(", ")}
                </p>
            </div>
            <button class="quiet" onClick={() => open({ form: "rail", of: name })}>
                Change<span class="unseen"> rail {name}</span>
            </button>
            <button
                class="quiet"
                onClick={edit(dispatch, `remove rail ${name}`, { do: "remove", path: ["rails", name] })}>
                Remove<span class="unseen"> rail {name}</span>
            </button>
        </li>
    );
    return (
        <section aria-labelledby="rails">
            <h2 id="rails">Rails</h2>
            {all.rails.length === 0 && (
                <p class="hint">
                    A rail is a supply voltage that parts share. Begin with the one your bench supply or USB plug gives.
                </p>
            )}
            <ul class="ruled">{all.rails.map(row)}</ul>
            <p class="actions">
                <button onClick={() => open({ form: "rail", of: null })}>Add a rail</button>
            </p>
        </section>
    );
}

/** The pins of a part: press one, then another, to join them. */
function Pins({ pins, s, dispatch, open }: { pins: PinRow[]; s: State; dispatch: Dispatch; open: (o: Open) => void }) {
    const press = (name: string) => {
        if (s.joining === null) dispatch({ do: "join-from", pin: name });
        else {
            if (s.joining !== name) open({ form: "join", from: s.joining, to: name });
            dispatch({ do: "join-from", pin: null });
        }
    };
    return (
        <ul class="pins">
            {pins.map((p) => (
                <li key={p.name}>
                    <button
                        class={`pin ${p.links.length ? "joined" : ""}`}
                        aria-pressed={s.joining === p.name}
                        title={p.what}
                        onClick={() => press(p.name)}>
                        {p.pin}
                        <span class="unseen">
                            {" "}
                            of {p.part}, {p.what}
                            {p.links.length ? `, joined in ${p.links.join(", ")}` : ""}
                        </span>
                    </button>
                </li>
            ))}
        </ul>
    );
}

function Parts({ s, all, open, dispatch }: { s: State; all: Rows; open: (o: Open) => void; dispatch: Dispatch }) {
    const pins = joinable(s, all);
    return (
        <section aria-labelledby="parts">
            <h2 id="parts">Parts</h2>
            {all.parts.length === 0 && (
                <p class="hint">Add what lies on the bench: search by what it is, no part number needed.</p>
            )}
            {s.joining && (
                <p class="joining" role="status">
                    From <strong class="mono">{s.joining}</strong>: press the pin it goes to.{" "}
                    <button onClick={() => dispatch({ do: "join-from", pin: null })}>Do not join</button>
                </p>
            )}
            <ul class="ruled">
                {all.parts.map(({ name, type, part }) => (
                    <li key={name} class="wrap">
                        <div class="grow">
                            <strong>{name}</strong> <a href={hash_of({ view: "parts", type })}>{type}</a>
                            <span class="soft">
                                {" "}
                                {(part?.supplies ?? [])
                                    .filter((p) => p.rail)
                                    .map((p) => `${p.port} on ${p.rail}`)
                                    .join(", ")}
                            </span>
                        </div>
                        <button class="quiet" onClick={() => open({ form: "part", of: name })}>
                            Change<span class="unseen"> part {name}</span>
                        </button>
                        <button
                            class="quiet"
                            onClick={edit(dispatch, `remove part ${name}`, { do: "remove", path: ["parts", name] })}>
                            Remove<span class="unseen"> part {name}</span>
                        </button>
                        <Pins pins={pins.filter((p) => p.part === name)} s={s} dispatch={dispatch} open={open} />
                    </li>
                ))}
            </ul>
            <p class="actions">
                <button onClick={() => open({ form: "search" })}>Add a part</button>{" "}
                <button onClick={() => open({ form: "join", from: null, to: null })}>Join two pins</button>
            </p>
        </section>
    );
}

function LinkLine({ row, dispatch }: { row: LinkRow; dispatch: Dispatch }) {
    const { name, judged, decides, planned } = row;
    return (
        <tr role="row">
            <td role="cell">{judged ? <Mark verdict={judged.verdict} /> : <span class="soft">not read</span>}</td>
            <th scope="row" role="rowheader">
                <a href={hash_of({ view: "link", link: name })}>{name || "(no name)"}</a>
            </th>
            <td role="cell" class="mono ends">
                <span>{row.from}</span>{" "}
                <span class="soft" aria-label="to">
                    →
                </span>{" "}
                <span>{row.to}</span>
            </td>
            <td role="cell" class="right" data-label="High margin">
                <Amount of={judged?.high_margin} />
            </td>
            <td role="cell" class="right" data-label="Low margin">
                <Amount of={judged?.low_margin} />
            </td>
            <td role="cell">{decides?.sentence}</td>
            <td role="cell" data-label="With the plan">
                {planned && (
                    <>
                        <Mark verdict={planned.verdict} /> {planned.title}
                    </>
                )}
            </td>
            <td role="cell">
                <button
                    class="quiet"
                    onClick={edit(dispatch, `remove link ${name}`, { do: "remove", path: ["links", name] })}>
                    Remove<span class="unseen"> link {name}</span>
                </button>
            </td>
        </tr>
    );
}

function Links({ s, all, dispatch, open }: { s: State; all: Rows; dispatch: Dispatch; open: (o: Open) => void }) {
    if (all.links.length === 0)
        return (
            <section aria-labelledby="links">
                <h2 id="links">Links</h2>
                <p class="hint">
                    A link is a signal you intend: from a pin to a pin.{" "}
                    <button onClick={() => open({ form: "join", from: null, to: null })}>
                        Join the first two pins
                    </button>
                </p>
            </section>
        );
    return (
        <section aria-labelledby="links">
            <h2 id="links">Links</h2>
            <Progress of={s.plan} doing="Planning interface circuits" />
            <Scroll label="Links with their verdicts">
                <table role="table" class={all.readable ? "links cards" : "links cards older"}>
                    <thead role="rowgroup">
                        <tr role="row">
                            {[
                                "As wired",
                                "Link",
                                "Pins",
                                "High margin",
                                "Low margin",
                                "What decides",
                                "With the plan",
                            ].map((w) => (
                                <th key={w} role="columnheader" class={w.endsWith("margin") ? "right" : ""}>
                                    {w}
                                </th>
                            ))}
                            <th role="columnheader">
                                <span class="unseen">Change</span>
                            </th>
                        </tr>
                    </thead>
                    <tbody role="rowgroup">
                        {all.links.map((row, i) => (
                            <LinkLine key={`${row.name} ${i}`} row={row} dispatch={dispatch} />
                        ))}
                    </tbody>
                </table>
            </Scroll>
        </section>
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
            <Links s={s} all={all} dispatch={dispatch} open={set_open} />
            <Shared s={s} />
            {all.links.length > 0 && <RailMap s={s} dispatch={dispatch} />}
            <div class="two">
                <Rails all={all} open={set_open} dispatch={dispatch} />
                <Parts s={s} all={all} open={set_open} dispatch={dispatch} />
            </div>
            {open?.form === "rail" && <RailForm {...same} of={open.of} />}
            {open?.form === "part" && <PartForm {...same} of={open.of} />}
            {open?.form === "search" && <PartSearch {...same} />}
            {open?.form === "join" && <JoinForm {...same} from={open.from} to={open.to} />}
        </>
    );
}

/** What in the text could not be read, and where. */
export function Problems({ s, dispatch }: { s: State; dispatch: Dispatch }) {
    const problems = s.check.value?.problems ?? [];
    const empty = problems.some((p) => p.code === "empty-bench");
    if (problems.length === 0 || empty) return null;
    const refused = s.check.value?.accepted === false;
    return (
        <section class="problems" aria-labelledby="problems">
            <h2 id="problems">{refused ? "The text cannot be read yet" : "Remarks on the text"}</h2>
            {refused && s.read && <p class="soft">Verdicts below are those of the last text that could be read.</p>}
            <ul>
                {problems.map((p, i) => (
                    <li key={i}>
                        {p.place && (
                            <button
                                class="quiet"
                                onClick={() => dispatch({ do: "goto", line: p.place!.line, column: p.place!.column })}>
                                Line {p.place.line}
                            </button>
                        )}{" "}
                        <ProblemWords of={p} />
                    </li>
                ))}
            </ul>
        </section>
    );
}
