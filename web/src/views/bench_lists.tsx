/** The lists of a bench: its rails, and its parts with their pins. */
import type { Dispatch } from "../model/actions";
import type { Edit } from "../model/answers";
import { joinable, type PinRow, type RailRow, type Rows } from "../model/bench_rows";
import { hash_of } from "../model/routes";
import type { State } from "../model/state";
import { quantity, span } from "../model/words";
import { Stroke } from "./pieces";

/** The form that is open. */
export type Open =
    | { form: "rail"; of: string | null }
    | { form: "part"; of: string }
    | { form: "search" }
    | { form: "join"; from: string | null; to: string | null }
    | null;

export function edit(dispatch: Dispatch, word: string, ...edits: Edit[]) {
    return () => dispatch({ do: "edit", edits, word });
}

export function Rails({ all, open, dispatch }: { all: Rows; open: (o: Open) => void; dispatch: Dispatch }) {
    const row = ({ name, rail, volts }: RailRow) => (
        <li key={name} data-thing={`rail ${name}`}>
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

export function Parts({
    s,
    all,
    open,
    dispatch,
}: {
    s: State;
    all: Rows;
    open: (o: Open) => void;
    dispatch: Dispatch;
}) {
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
                    <li key={name} class="wrap" data-thing={`part ${name}`}>
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
