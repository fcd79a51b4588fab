/** The reading to take next: how, why, what it brings, and one press to answer. */
import type { RefObject } from "preact";
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import type { Problem } from "../model/answers";
import type { Diagnosis, NextReading } from "../model/fault_answers";
import {
    answer_form,
    cause_told,
    gain_words,
    line_of,
    looked_at,
    means_words,
    not_taken,
    parts_asked,
    pins_asked,
    wire_asked,
    with_unit,
} from "../model/fault";
import { current, type State } from "../model/state";
import { begun } from "../model/words";
import { bring_in, Drawing } from "./drawing";
import { useName } from "./ids";
import { ProblemWords, Progress } from "./pieces";
import { lighten } from "./steps";

/** Why an answer was not taken: where it was typed, with the field ready for another. */
function NotTaken({ problems, id }: { problems: Problem[]; id: string }) {
    return (
        <p class="trouble" role="alert" id={id}>
            Not taken:{" "}
            <ProblemWords of={{ ...problems[0], message: `${problems.map((p) => p.message).join("; ")}.` }} />
        </p>
    );
}

interface AnswerProps {
    next: NextReading;
    sure: boolean;
    answered: (line: string) => void;
    problems: Problem[];
}
function Answer({ next, sure, answered, problems }: AnswerProps) {
    const { words, units, sights } = answer_form(next);
    const [value, set_value] = useState("");
    const [unit, set_unit] = useState(units[0] ?? "");
    const id = useName();
    const field = useRef<HTMLInputElement>(null);
    const wrong = problems.length > 0;
    useEffect(() => {
        if (!wrong) return;
        field.current?.focus();
        field.current?.select();
    }, [problems]);
    const submit = (e: Event) => {
        e.preventDefault();
        if (value.trim() && sure) answered(line_of(next, with_unit(value, unit)));
    };
    const choice = (w: string) => (
        <button key={w} type="button" disabled={!sure} onClick={() => answered(line_of(next, w))}>
            {begun(w)}
        </button>
    );
    return (
        <form class="answer" onSubmit={submit}>
            {units.length > 0 && (
                <>
                    <label for={id}>You read</label>
                    <span class="amount">
                        <input
                            id={id}
                            ref={field}
                            class="mono"
                            inputMode="decimal"
                            aria-invalid={wrong}
                            aria-describedby={wrong ? `${id}-wrong` : undefined}
                            autocomplete="off"
                            size={8}
                            value={value}
                            onInput={(e) => set_value(e.currentTarget.value)}
                        />
                        <select aria-label="Unit" value={unit} onChange={(e) => set_unit(e.currentTarget.value)}>
                            {units.map((u) => (
                                <option key={u}>{u}</option>
                            ))}
                        </select>
                        <button class="main" disabled={!sure || value.trim() === ""}>
                            Enter
                        </button>
                    </span>
                </>
            )}
            {words.map(choice)}
            {wrong && <NotTaken problems={problems} id={`${id}-wrong`} />}
            {sights.length > 0 && (
                <div class="sights" role="group" aria-labelledby={`${id}-seen`}>
                    <p id={`${id}-seen`}>Not as planned, and you see of {looked_at(next.line.before)}:</p>
                    {sights.map(choice)}
                </div>
            )}
        </form>
    );
}

/** The packages to probe as they lie on the boards, with the pins in a thick frame. */
function Pins({ s, next }: { s: State; next: NextReading }) {
    const drawn = s.build.value?.accepted && current(s, s.build) ? s.build.value.packages : [];
    const pins = pins_asked(next.line.before);
    const shown = drawn.filter((p) => pins.some((pin) => pin.part === p.part));
    return (
        <>
            {shown.map((p) => {
                const own = pins.filter((pin) => pin.part === p.part).map((pin) => pin.pin);
                const frame = (svg: SVGElement) => {
                    for (const pin of own)
                        svg.querySelectorAll(`[data-pin="${CSS.escape(pin)}"]`).forEach((e) =>
                            e.classList.add("probed"),
                        );
                    bring_in(svg.querySelector<SVGElement>(".probed"));
                };
                return (
                    <figure key={`${p.part} ${own.join(" ")}`} class="probe">
                        <Drawing svg={p.svg} ready={frame} />
                        <figcaption>
                            Pin {own.join(" and pin ")} of {p.part}, in a thick frame
                        </figcaption>
                    </figure>
                );
            })}
        </>
    );
}

/** The wire or the part in question, on the plan of the board, when it is asked for. */
function Where({ s, next, dispatch }: { s: State; next: NextReading; dispatch: Dispatch }) {
    const place = useRef<HTMLDivElement>(null);
    const wire = wire_asked(next.line.before);
    const parts = parts_asked(next.line.before);
    const words = wire === null ? parts.join(" and ") : `wire ${wire}`;
    const build = s.build.value?.accepted && current(s, s.build) ? s.build.value : null;
    const boards =
        build?.boards.filter((svg) =>
            wire === null ? parts.some((p) => svg.includes(`data-part="${p}"`)) : svg.includes(`data-wire="${wire}"`),
        ) ?? [];
    useLayoutEffect(() => {
        place.current?.querySelectorAll<SVGElement>("svg").forEach((svg) => {
            lighten(svg, wire, null);
            svg.querySelectorAll<SVGElement>("[data-part]").forEach((e) =>
                e.classList.toggle("now", parts.includes(e.dataset.part!)),
            );
            bring_in(svg.querySelector<SVGElement>(wire === null ? ".now" : `[data-wire="${wire}"]`));
        });
    }, [build, words, s.boards_wanted]);
    if (words === "") return null;
    if (!s.boards_wanted)
        return (
            <p>
                <button onClick={() => dispatch({ do: "want-boards" })}>Show {words} on the board</button>
            </p>
        );
    if (!build) return <Progress of={s.build} doing="Drawing the board" />;
    return (
        <div ref={place}>
            {boards.map((svg, i) => (
                <figure key={i} class="board">
                    <Drawing svg={svg} />
                    <figcaption>
                        {wire === null ? `${words} in thick lines` : `Wire ${wire} in full ink, the others pale`}
                    </figcaption>
                </figure>
            ))}
        </div>
    );
}

interface Props {
    s: State;
    d: Diagnosis;
    dispatch: Dispatch;
    /** The answer belongs to the readings as they are. */
    sure: boolean;
    answered: (line: string) => void;
    heading: RefObject<HTMLHeadingElement | null>;
}

function Reading({ s, next, dispatch, sure, answered }: Omit<Props, "d" | "heading"> & { next: NextReading }) {
    const holds_level = / (high|low)\b/.test(next.line.after);
    return (
        <>
            <p>
                <strong>{begun(next.words)}</strong> <span class="means">{means_words[next.means]}</span>
            </p>
            <p>{next.how}</p>
            {holds_level && (
                <p class="hint">
                    To hold a level, let the software of that part set it and stop there, or bring about what makes it
                    so. Where that cannot be done, take another reading.
                </p>
            )}
            <Answer key={next.words} next={next} sure={sure} answered={answered} problems={not_taken(s, next)} />
            {cause_told(s) && <p class="soft">What the answers would mean: {next.why}</p>}
            <p class="hint">
                {gain_words(next)}. As a line: <code>{line_of(next, "...")}</code>
            </p>
            <Pins s={s} next={next} />
            <Where s={s} next={next} dispatch={dispatch} />
        </>
    );
}

function Others({ of, take }: { of: NextReading[]; take: (words: string) => void }) {
    return (
        <details>
            <summary>Take another reading</summary>
            <ul class="ruled">
                {of.map((n) => (
                    <li key={n.words}>
                        <span class="grow">
                            {n.words} <span class="means">{means_words[n.means]}</span>
                        </span>
                        <button class="quiet" onClick={() => take(n.words)}>
                            Take this<span class="unseen">: {n.words}</span>
                        </button>
                    </li>
                ))}
            </ul>
        </details>
    );
}

export function NextView({ s, d, dispatch, sure, answered, heading }: Props) {
    const [wish, set_wish] = useState("");
    const next = d.next.find((n) => n.words === wish) ?? d.next[0];
    const others = d.next.filter((n) => n !== next);
    const take = (words: string) => {
        set_wish(words);
        heading.current?.focus();
    };
    return (
        <section aria-labelledby="next" class="next">
            <h2 id="next" ref={heading} tabIndex={-1}>
                Read this next
            </h2>
            {next ? (
                <Reading s={s} next={next} dispatch={dispatch} sure={sure} answered={answered} />
            ) : (
                <p>
                    {d.found
                        ? "Nothing more: mend it, then read again what was wrong."
                        : "No further reading would tell more. Mend the likeliest, then read again what was wrong."}
                </p>
            )}
            {others.length > 0 && <Others of={others} take={take} />}
        </section>
    );
}
