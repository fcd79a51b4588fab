/** One link: its verdict with the arithmetic, what could stand between its ends, and how it goes over time. */
import type { Dispatch } from "../model/actions";
import type { Candidate } from "../model/answers";
import { crossings, deciding, rows } from "../model/bench_rows";
import { use_words, wish_of, wish_words } from "../model/choice";
import { hash_of } from "../model/routes";
import { current, type State } from "../model/state";
import { count, quantity } from "../model/words";
import { Problems } from "./problems";
import { Drawing } from "./drawing";
import { FindingView, Holds, Questions } from "./findings";
import { Amount, Mark, Progress, Scroll } from "./pieces";
import { Waveform } from "./waveform";

function Charts({ s, link }: { s: State; link: string }) {
    const drawn = s.drawings.value?.accepted ? s.drawings.value.links.find((l) => l.link === link) : undefined;
    const planned = crossings(s, link)
        .flatMap((c) => c.chosen?.title ?? [])
        .join("; ");
    if (!drawn) return <Progress of={s.drawings} doing="Drawing the levels" />;
    return (
        <div class={`charts ${current(s, s.drawings) ? "" : "older"}`}>
            {drawn.before && (
                <figure>
                    <figcaption>Joined as it stands</figcaption>
                    <Drawing svg={drawn.before} />
                </figure>
            )}
            {drawn.after && (
                <figure>
                    <figcaption>With {planned || "the wiring of the file"}</figcaption>
                    <Drawing svg={drawn.after} />
                </figure>
            )}
        </div>
    );
}

function Findings({ s, link }: { s: State; link: string }) {
    const judgement = s.read?.judgement;
    const judged = judgement?.links.find((l) => l.link === link);
    if (!judgement || !judged) return null;
    const all = judged.findings.map((i) => judgement.findings[i]!);
    return (
        <section aria-labelledby="arithmetic">
            <h2 id="arithmetic">Arithmetic</h2>
            {all
                .filter((f) => f.verdict !== "safe")
                .map((f, i) => (
                    <FindingView key={i} finding={f} />
                ))}
            <Holds findings={all.filter((f) => f.verdict === "safe")} />
        </section>
    );
}

interface RowProps {
    candidate: Candidate;
    chosen: Candidate | null;
    use: () => void;
}
function CandidateRow({ candidate: c, chosen, use }: RowProps) {
    const words = use_words(c, chosen);
    return (
        <tr role="row" class={c === chosen ? "chosen" : ""}>
            <td role="cell">{c.wired ? <Mark verdict={c.verdict} /> : <span class="soft">does not apply</span>}</td>
            <th role="rowheader" scope="row">
                {c.title}
                {c.inverted && <span class="soft"> (turned upside down)</span>}
            </th>
            <td role="cell" class="right" data-label="High margin">
                <Amount of={c.high_margin} />
            </td>
            <td role="cell" class="right" data-label="Low margin">
                <Amount of={c.low_margin} />
            </td>
            <td role="cell" class="right" data-label="Parts">
                {c.wired ? c.parts : "-"}
            </td>
            <td role="cell" data-label="In stock">
                {c.wired ? (c.in_stock ? "yes" : "no") : "-"}
            </td>
            <td role="cell" class="wide">
                {c === chosen ? <strong>chosen. </strong> : c.why_not && <span>{c.why_not}. </span>}
                <span class="soft">{c.how_sized}</span>
                {c.cautions.map((w) => (
                    <p key={w} class="soft">
                        {w}
                    </p>
                ))}
            </td>
            <td role="cell" class="wide">
                {c !== chosen && words && (
                    <button onClick={use}>
                        {words}
                        <span class="unseen">: {c.title}</span>
                    </button>
                )}
            </td>
        </tr>
    );
}

function Candidates({ s, dispatch, link }: { s: State; dispatch: Dispatch; link: string }) {
    const all = crossings(s, link);
    const wish = s.read?.bench.links.find((l) => l.name === link)?.interface ?? null;
    const choose = (circuit: string | null, word: string) => () =>
        dispatch({ do: "edit", edits: [{ do: "choose", link, circuit }], word });
    return (
        <section aria-labelledby="between">
            <h2 id="between">What can stand between</h2>
            <Progress of={s.plan} doing="Planning interface circuits" />
            {wish !== null && (
                <p>
                    The bench file asks for <strong>{wish_words(wish, s.about?.circuits ?? [])}</strong>.{" "}
                    <button onClick={choose(null, `let the planner choose for ${link}`)}>Let the planner choose</button>
                </p>
            )}
            {all.map((crossing) => (
                <Scroll
                    key={crossing.link}
                    label={`Interface circuits side by side${all.length > 1 ? `: ${crossing.link}` : ""}`}>
                    <table role="table" class={`candidates cards ${current(s, s.plan) ? "" : "older"}`}>
                        {all.length > 1 && <caption>{crossing.link}</caption>}
                        <thead role="rowgroup">
                            <tr role="row">
                                {["Verdict", "Circuit", "High margin", "Low margin", "Parts", "In stock", "Why"].map(
                                    (w) => (
                                        <th key={w} role="columnheader" class={/margin|Parts/.test(w) ? "right" : ""}>
                                            {w}
                                        </th>
                                    ),
                                )}
                                <th role="columnheader">
                                    <span class="unseen">Choice</span>
                                </th>
                            </tr>
                        </thead>
                        <tbody role="rowgroup">
                            {[...(crossing.chosen ? [crossing.chosen] : []), ...crossing.rejected].map((c) => (
                                <CandidateRow
                                    key={`${c.circuit} ${c.title}`}
                                    candidate={c}
                                    chosen={crossing.chosen}
                                    use={choose(wish_of(c), `use ${c.title} for ${link}`)}
                                />
                            ))}
                        </tbody>
                    </table>
                </Scroll>
            ))}
        </section>
    );
}

function Circuit({ s, link }: { s: State; link: string }) {
    const svg = s.drawings.value?.accepted ? s.drawings.value.links.find((l) => l.link === link)?.circuit : null;
    if (!svg) return null;
    return (
        <section aria-labelledby="circuit">
            <h2 id="circuit">Circuit</h2>
            <figure>
                <Drawing svg={svg} />
            </figure>
        </section>
    );
}

function Neighbours({ all, link }: { all: string[]; link: string }) {
    const at = all.indexOf(link);
    const to = (name: string | undefined, words: string) =>
        name !== undefined && (
            <a href={hash_of({ view: "link", link: name })}>
                {words}: {name}
            </a>
        );
    return (
        <nav class="neighbours" aria-label="Links beside this one">
            {to(all[at - 1], "Previous")}
            {to(all[at + 1], "Next")}
        </nav>
    );
}

export function LinkView({ s, dispatch, link }: { s: State; dispatch: Dispatch; link: string }) {
    const all = rows(s);
    const row = all.links.find((l) => l.name === link);
    if (!row)
        return (
            <>
                <h1>{link}</h1>
                <p>
                    No link of this name is on the bench. <a href="#/bench">To the bench</a>
                </p>
            </>
        );
    const judged = row.judged;
    const findings = judged ? judged.findings.map((i) => s.read!.judgement.findings[i]!) : [];
    const worst = judged && deciding(s.read!.judgement.findings, judged);
    return (
        <>
            <Neighbours all={all.links.map((l) => l.name)} link={link} />
            <h1>{link}</h1>
            <p class="mono">
                {row.from} → {row.to}{" "}
                <span class="soft">
                    {row.link &&
                        [row.link.kind, row.link.rate && quantity(row.link.rate), row.link.bus]
                            .filter(Boolean)
                            .join(", ")}
                </span>
            </p>
            <Problems s={s} dispatch={dispatch} />
            {judged && (
                <p class="sentence">
                    <Mark verdict={judged.verdict} />{" "}
                    {worst?.sentence ?? `Holds in every state and corner: ${count(findings.length, "check")}.`}
                </p>
            )}
            {row.planned && (
                <p class="sentence">
                    With {row.planned.title}: <Mark verdict={row.planned.verdict} />
                </p>
            )}
            <Questions s={s} dispatch={dispatch} findings={findings} />
            <Charts s={s} link={link} />
            <Findings s={s} link={link} />
            <Candidates s={s} dispatch={dispatch} link={link} />
            <Circuit s={s} link={link} />
            <Waveform key={link} s={s} dispatch={dispatch} link={link} rate={row.link?.rate?.value ?? null} />
        </>
    );
}
