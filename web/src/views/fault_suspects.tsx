/** What may be wrong, each with its share; what cannot be, and why; readings that speak against each other. */
import type { ComponentChildren } from "preact";
import type { Damage, Diagnosis, Suspect } from "../model/fault_answers";
import { share_bar, share_words } from "../model/fault";
import { begun, count } from "../model/words";
import { Mark, Scroll } from "./pieces";

/** As many are listed at once. */
const most_listed = 6;

function Row({ share, children }: { share: number; children: ComponentChildren }) {
    return (
        <li>
            <span class="share">
                <strong class="whole">{share_words(share)}</strong>{" "}
                <span class="bar" aria-hidden="true">
                    {share_bar(share)}
                </span>
            </span>
            <div>{children}</div>
        </li>
    );
}

function SuspectRow({ of: s }: { of: Suspect }) {
    return (
        <Row share={s.share}>
            <p>
                <strong>
                    {s.as_planned ? "✓ " : ""}
                    {s.words}
                </strong>
                {s.common && <span class="soft"> ({s.common})</span>}
                {s.may_harm && (
                    <>
                        {" "}
                        <Mark verdict="harmful" words="could harm when powered" />
                    </>
                )}
            </p>
            {s.remedy && <p>{begun(s.remedy)}.</p>}
            {s.members.length > 1 && (
                <details>
                    <summary>{count(s.members.length, "fault")} that no meter tells apart</summary>
                    <ul>
                        {s.members.map((m) => (
                            <li key={m.words}>
                                {m.words} <span class="soft whole">({share_words(m.share)})</span>
                            </li>
                        ))}
                    </ul>
                </details>
            )}
        </Row>
    );
}

export function Suspects({ d }: { d: Diagnosis }) {
    const rest = d.suspects.slice(most_listed);
    return (
        <section aria-labelledby="suspects">
            <h2 id="suspects">What may be wrong</h2>
            <ul class="suspects">
                {d.suspects.slice(0, most_listed).map((s) => (
                    <SuspectRow key={s.words} of={s} />
                ))}
                <Row share={d.something_else}>
                    <p>
                        <strong>? something that is not on the list</strong>
                    </p>
                    <p>Take the readings of the test sheet one by one.</p>
                </Row>
            </ul>
            {rest.length > 0 && (
                <details>
                    <summary>{count(rest.length, "less likely suspect")}</summary>
                    <ul class="suspects">
                        {rest.map((s) => (
                            <SuspectRow key={s.words} of={s} />
                        ))}
                    </ul>
                </details>
            )}
        </section>
    );
}

const test_columns = [
    ["Red lead on", "red", "mono"],
    ["Black lead on", "black", "mono"],
    ["Sound part reads", "expected", ""],
    ["Dead part reads", "dead", ""],
] as const;

function DamagedPart({ of: p }: { of: Damage["parts"][number] }) {
    return (
        <li>
            <p>
                <strong>{p.words}</strong>
                {p.discard && (
                    <>
                        {" "}
                        <Mark verdict="harmful" words="do not use it again" />
                    </>
                )}
            </p>
            {p.advice && <p>{p.advice}</p>}
            {p.why.length > 0 && (
                <ul>
                    {p.why.map((w) => (
                        <li key={w} class="soft">
                            {w}
                        </li>
                    ))}
                </ul>
            )}
            {p.tests.length > 0 && (
                <Scroll label={`Diode tests of ${p.words}`}>
                    <table role="table" class="tests cards">
                        <thead role="rowgroup">
                            <tr role="row">
                                {test_columns.map(([title]) => (
                                    <th key={title} role="columnheader">
                                        {title}
                                    </th>
                                ))}
                            </tr>
                        </thead>
                        <tbody role="rowgroup">
                            {p.tests.map((t) => (
                                <tr key={`${t.red} ${t.black}`} role="row">
                                    {test_columns.map(([title, of, face]) => (
                                        <td key={title} role="cell" class={face} data-label={title}>
                                            {t[of]}
                                        </td>
                                    ))}
                                </tr>
                            ))}
                        </tbody>
                    </table>
                </Scroll>
            )}
        </li>
    );
}

/** After a fault that harms: what to test, in order, by the diode test of a meter. */
export function DamageView({ of: d }: { of: Damage | null | undefined }) {
    if (!d) return null;
    return (
        <section aria-labelledby="damage">
            <h2 id="damage">What may be damaged</h2>
            <p>{d.sentence}</p>
            {d.cautions.map((c) => (
                <p key={c} class="advice">
                    {c}
                </p>
            ))}
            <ol class="damaged">
                {d.parts.map((p) => (
                    <DamagedPart key={p.words} of={p} />
                ))}
            </ol>
        </section>
    );
}

export function Contradictions({ d }: { d: Diagnosis }) {
    if (d.contradictions.length === 0) return null;
    return (
        <div class="problems contradictions">
            <p>
                <strong>≠ Readings that speak against each other</strong>
            </p>
            <ul>
                {d.contradictions.map((c) => (
                    <li key={c.sentence}>
                        {c.sentence} <span class="soft">(readings {c.readings.map((k) => k + 1).join(" and ")})</span>
                    </li>
                ))}
            </ul>
        </div>
    );
}

export function RuledOut({ d }: { d: Diagnosis }) {
    if (d.ruled_out.length === 0) return null;
    const words = (reading: number | null) => (reading === null ? "" : `Reading ${reading + 1}: `);
    return (
        <section aria-labelledby="ruled-out">
            <h2 id="ruled-out">Ruled out</h2>
            <ul>
                {d.ruled_out.map((r, i) => (
                    <li key={i}>
                        <strong>{words(r.reading)}</strong>
                        {begun(r.sentence)}
                        {r.count > 1 && <span class="soft"> With it {count(r.count - 1, "other fault")}.</span>}
                    </li>
                ))}
            </ul>
        </section>
    );
}
