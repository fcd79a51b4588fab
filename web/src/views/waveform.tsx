/** A link over time: at the rate of the slider, nominal and over random samples that stream in. */
import { useState } from "preact/hooks";
import { useName } from "./ids";
import type { Dispatch } from "../model/actions";
import type { Measure } from "../model/answers";
import type { State } from "../model/state";
import { count, quantity } from "../model/words";
import { Drawing } from "./drawing";
import { Amount, Choose, Mark, Scroll } from "./pieces";

/** The slider's steps: 20 to the decade, from 1 Hz to 100 MHz. */
const per_decade = 20;
const decades = 8;
const hertz = (step: number): number => Number((10 ** (step / per_decade)).toPrecision(2));
const step_of = (rate: number): number =>
    Math.round(Math.log10(Math.min(Math.max(rate, 1), 10 ** decades)) * per_decade);
const words_of = (rate: number): string => quantity({ value: rate, unit: "hertz" });

function Measures({ measures }: { measures: Measure[] }) {
    const percent = (v: number | null | undefined) =>
        v === null || v === undefined ? "-" : `${(100 * v).toFixed(1)} %`;
    return (
        <Scroll label="Measures of the waveform">
            <table>
                <thead>
                    <tr>
                        <th>Measure</th>
                        <th>At</th>
                        <th class="right">Nominal</th>
                        <th class="right">Lowest</th>
                        <th class="right">Highest</th>
                        <th>Limit</th>
                        <th>Yield, 95 %</th>
                        <th>Verdict</th>
                    </tr>
                </thead>
                <tbody>
                    {measures.map((m, i) => (
                        <tr key={i}>
                            <th scope="row">{m.measure}</th>
                            <td class="mono">{m.at}</td>
                            <td class="right">
                                <Amount of={m.nominal} />
                            </td>
                            <td class="right">
                                <Amount of={m.lowest} />
                            </td>
                            <td class="right">
                                <Amount of={m.highest} />
                            </td>
                            <td>{m.limit && `${m.limit.is} ${quantity(m.limit)}`}</td>
                            <td>
                                {m.limit && m.counted > 0 ? `${percent(m.yield_lo)} to ${percent(m.yield_hi)}` : ""}
                            </td>
                            <td>{m.verdict && <Mark verdict={m.verdict} />}</td>
                        </tr>
                    ))}
                </tbody>
            </table>
        </Scroll>
    );
}

function Result({ s, link }: { s: State; link: string }) {
    const step = s.trace.wish?.link === link ? s.trace.value : null;
    const trace = step?.accepted ? step.trace.traces.find((t) => t.link === link) : undefined;
    if (!step || !trace) return null;
    const svg = step.svg[link];
    return (
        <>
            <p class="sentence">
                <Mark verdict={trace.verdict} /> at {quantity(trace.rate)}
                {step.samples > 0 && `, ${count(step.samples, "sample")}`}
                {trace.worst_by && `; worst by ${trace.worst_by}`}
            </p>
            {trace.trouble && <p class="trouble">{trace.trouble}</p>}
            {svg && (
                <figure>
                    <Drawing svg={svg} />
                </figure>
            )}
            <Measures measures={trace.measures} />
            {trace.leans_on.length > 0 && (
                <details>
                    <summary>Leans on {count(trace.leans_on.length, "figure")} that nobody guarantees</summary>
                    <ul>
                        {trace.leans_on.map((w) => (
                            <li key={w}>{w}</li>
                        ))}
                    </ul>
                </details>
            )}
        </>
    );
}

function Running({ s, dispatch, link }: { s: State; dispatch: Dispatch; link: string }) {
    if (s.trace.wish?.link !== link) return null;
    if (s.trace.trouble)
        return (
            <p class="trouble" role="status">
                {s.trace.trouble}
            </p>
        );
    if (!s.trace.running) return null;
    return (
        <p class="progress" role="status">
            <progress max={1} value={s.trace.share} aria-label="Following the signal" />{" "}
            <button onClick={() => dispatch({ do: "stop-trace" })}>Cancel</button>{" "}
            {s.trace.what || "Following the signal"}
        </p>
    );
}

interface Props {
    s: State;
    dispatch: Dispatch;
    link: string;
    rate: number | null;
}
export function Waveform({ s, dispatch, link, rate }: Props) {
    const [chosen, set_chosen] = useState<number | null>(null);
    const [samples, set_samples] = useState("0");
    const id = useName();
    const now = chosen ?? rate ?? 1000;
    const run = (hz: number | null, n: string) =>
        dispatch({ do: "trace", wish: { link, rate: hz, samples: Number(n) } });
    return (
        <section aria-labelledby="waveform">
            <h2 id="waveform">Over time</h2>
            <div class="fields waveform">
                <div class="field">
                    <label for={id}>
                        Rate: <strong>{words_of(now)}</strong>
                        {chosen === null && rate !== null && <span class="soft"> (of the bench file)</span>}
                    </label>
                    <input
                        id={id}
                        type="range"
                        min={0}
                        max={per_decade * decades}
                        step={1}
                        value={step_of(now)}
                        aria-valuetext={words_of(now)}
                        onInput={(e) => set_chosen(hertz(Number(e.currentTarget.value)))}
                        onChange={(e) => run(hertz(Number(e.currentTarget.value)), samples)}
                    />
                </div>
                <Choose
                    label="Spread of parts"
                    value={samples}
                    on={set_samples}
                    options={[
                        { value: "0", words: "nominal only" },
                        { value: "64", words: "64 random samples" },
                        { value: "512", words: "512 random samples" },
                        { value: "4096", words: "4096 random samples" },
                    ]}
                />
                <p class="actions">
                    <button class="main" onClick={() => run(chosen, samples)}>
                        Follow the signal
                    </button>
                    {chosen !== null && <button onClick={() => set_chosen(null)}>Back to the rate of the file</button>}
                </p>
            </div>
            <Running s={s} dispatch={dispatch} link={link} />
            <Result s={s} link={link} />
        </section>
    );
}
