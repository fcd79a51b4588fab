/** The catalogue: search by what a part is; every figure of a part with its source. */
import { useEffect } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import type { PartType } from "../model/part_answers";
import { figures, grouped } from "../model/figures";
import { hash_of } from "../model/routes";
import type { State } from "../model/state";
import { count, origin } from "../model/words";
import { Scroll } from "./pieces";

function Part({ type }: { type: PartType }) {
    return (
        <>
            <p>
                <a href="#/parts">To the search</a>
            </p>
            <h1>{type.name}</h1>
            <p>
                {type.title}
                {type.invented && ". Its figures are invented for examples"}.
            </p>
            <p class="soft">{origin(type.origin)}</p>
            {type.note && <p>{type.note}</p>}
            {type.packages.map((p) => (
                <p key={p.name}>
                    <strong>{p.name}</strong> <span class="mono">{p.pins.join(" ")}</span>
                </p>
            ))}
            {grouped(figures(type)).map(({ of, rows }) => (
                <section key={of[0]}>
                    <h2>{of.join(", ")}</h2>
                    <Scroll label={`Figures of ${of.join(", ")}`}>
                        <table class="figures">
                            <thead>
                                <tr>
                                    <th>Figure</th>
                                    <th>Value</th>
                                    <th>Source</th>
                                </tr>
                            </thead>
                            <tbody>
                                {rows.map((r, i) => (
                                    <tr key={i}>
                                        <th scope="row">{r.figure}</th>
                                        <td>{r.value}</td>
                                        <td class="soft">{r.from}</td>
                                    </tr>
                                ))}
                            </tbody>
                        </table>
                    </Scroll>
                </section>
            ))}
        </>
    );
}

function Search({ s, dispatch }: { s: State; dispatch: Dispatch }) {
    useEffect(() => dispatch({ do: "find", words: s.found.words }), []);
    return (
        <>
            <h1>Parts</h1>
            <form role="search" onSubmit={(e) => e.preventDefault()}>
                <div class="field">
                    <label for="parts-words">What is it?</label>
                    <input
                        id="parts-words"
                        type="search"
                        autocomplete="off"
                        defaultValue={s.found.words}
                        onInput={(e) => dispatch({ do: "find", words: e.currentTarget.value })}
                    />
                    <p class="hint">
                        In words: open collector sensor, 3.3 V regulator, octal buffer 1.8..5 V; or a type: LVC 245
                    </p>
                </div>
            </form>
            <p role="status">
                {count(s.found.rows.length, "part")}
                {s.found.words && ` for “${s.found.words}”`}
                {s.found.rows.length > 0
                    ? ", best first"
                    : ". A module that is not here is described on the bench: Add a part, " +
                      "Describe a module of your own."}
            </p>
            <ul class="ruled">
                {s.found.rows.map((r) => (
                    <li key={r.name} class="wrap">
                        <div class="grow">
                            <a href={hash_of({ view: "parts", type: r.name })}>{r.name}</a> {r.title}
                            {r.volts.length + r.packages.length > 0 && (
                                <span class="soft at-hand">
                                    {[r.volts.join(" and "), r.packages.join(", ")].filter(Boolean).join("; ")}
                                </span>
                            )}
                        </div>
                    </li>
                ))}
            </ul>
            {s.found.traits.length > 0 && (
                <section aria-labelledby="traits">
                    <h2 id="traits">For a pin of a part of your own</h2>
                    <p>
                        In the text of the bench: <code>{`pins.NAME = { like = "${s.found.traits[0]!.name}" }`}</code>
                    </p>
                    <ul class="ruled">
                        {s.found.traits.map((t) => (
                            <li key={t.name} class="wrap">
                                <div class="grow">
                                    <strong>{t.name}</strong> {t.title}
                                </div>
                            </li>
                        ))}
                    </ul>
                </section>
            )}
        </>
    );
}

export function PartsView({ s, dispatch, type }: { s: State; dispatch: Dispatch; type: string | null }) {
    if (type === null) return <Search s={s} dispatch={dispatch} />;
    const found = s.types[type];
    if (found) return <Part type={found} />;
    return (
        <>
            <h1>{type}</h1>
            <p role="status">{found === null ? "No part of this name is known." : "Looking it up"}</p>
            <p>
                <a href="#/parts">To the search</a>
            </p>
        </>
    );
}
