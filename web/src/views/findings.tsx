/** The numbers behind a verdict: each against its limit, with where both come from. */
import { useState } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import type { Evidence, Finding } from "../model/answers";
import type { State } from "../model/state";
import { measure_questions, type Question } from "../model/measure";
import { origin, quantity } from "../model/words";
import { Field, Mark, Scroll } from "./pieces";
import { SaidOfForm, useProposal } from "./proposal";

function From({ name, of }: { name: string; of: Evidence | null }) {
    if (!of) return null;
    return (
        <div>
            <dt>{name}</dt>
            <dd>
                <strong class="whole">{quantity(of)}</strong> {of.what}{" "}
                <span class="soft">({origin(of) || "no source"})</span>
            </dd>
        </div>
    );
}

export function FindingView({ finding: f }: { finding: Finding }) {
    return (
        <article class="finding">
            <h3>
                <Mark verdict={f.verdict} /> {f.code.replaceAll("-", " ")}
                {f.part && ` at ${f.part}${f.pin ? `.${f.pin}` : ""}`}
            </h3>
            <p>{f.sentence}</p>
            <pre class="arithmetic">{f.arithmetic}</pre>
            <dl>
                <From name="value" of={f.value} />
                <From name="limit" of={f.limit} />
                {f.state && (
                    <div>
                        <dt>state</dt>
                        <dd>{f.state}</dd>
                    </div>
                )}
                {f.corner && (
                    <div>
                        <dt>corner</dt>
                        <dd>{f.corner}</dd>
                    </div>
                )}
            </dl>
            {f.advice && <p class="advice">{f.advice}</p>}
        </article>
    );
}

export function Holds({ findings }: { findings: Finding[] }) {
    if (findings.length === 0) return null;
    return (
        <details>
            <summary>{findings.length} checks that hold</summary>
            <Scroll label="Checks that hold">
                <table>
                    <thead>
                        <tr>
                            <th>Check</th>
                            <th>At</th>
                            <th>Arithmetic</th>
                            <th>State</th>
                            <th>Value from</th>
                            <th>Limit from</th>
                        </tr>
                    </thead>
                    <tbody>
                        {findings.map((f, i) => (
                            <tr key={i}>
                                <th scope="row">{f.code}</th>
                                <td class="mono">
                                    {f.part}
                                    {f.pin && `.${f.pin}`}
                                </td>
                                <td>{f.arithmetic}</td>
                                <td>{f.state}</td>
                                <td>{f.value && origin(f.value)}</td>
                                <td>{f.limit && origin(f.limit)}</td>
                            </tr>
                        ))}
                    </tbody>
                </table>
            </Scroll>
        </details>
    );
}

function Ask({ s, question: q, dispatch }: { s: State; question: Question; dispatch: Dispatch }) {
    const [values, set] = useState<Record<string, string>>({});
    const [by, set_by] = useState("");
    const form = useProposal(s, dispatch, () => undefined);
    const ready = q.fields.every((f) => values[f.key]);
    const submit = (e: Event) => {
        e.preventDefault();
        if (ready) form.propose(q.edits(values, by || "measured on this bench"), `measured ${q.pin}`);
    };
    return (
        <form class="measure" onSubmit={submit}>
            <h2>Measure this: {q.what}</h2>
            <p>{q.how}</p>
            <div class="fields">
                {q.fields.map((f) => (
                    <Field
                        key={f.key}
                        label={f.label}
                        value={values[f.key] ?? ""}
                        on={(v) => set({ ...values, [f.key]: v })}
                        hint={f.hint}
                        required
                        said={form.about(f.key, values[f.key] ?? "")}
                    />
                ))}
                <Field label="Measured by whom, how and when" value={by} on={set_by} hint="2 kΩ potentiometer, 3 May" />
            </div>
            <SaidOfForm said={form.besides(values)} />
            <p class="actions">
                <button class="main" disabled={!ready}>
                    Write it into the bench file
                </button>
            </p>
        </form>
    );
}

export function Questions({ s, dispatch, findings }: { s: State; dispatch: Dispatch; findings: Finding[] }) {
    return (
        <>
            {measure_questions(s, findings).map((q) => (
                <Ask key={q.what} s={s} question={q} dispatch={dispatch} />
            ))}
        </>
    );
}
