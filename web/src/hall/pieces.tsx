/** Small things that both pages of the hall show. */
import type { Build, Me, Mistake } from "./answers";
import { gate_title, gate_titles } from "./answers";
import { Mark } from "../views/pieces";
import { count } from "../model/words";
import { mark_words } from "./words";

/** Why not to switch on: by sign, word and size; told politely by screen readers, for it stays. */
export function Stop({ why }: { why: string }) {
    return (
        <div class="stop">
            <p class="stop-head">
                <span aria-hidden="true">✗ </span>STOP: power off
            </p>
            <p>{why}</p>
        </div>
    );
}

/** The views by name, with their titles. */
export function Tabs({ views, here }: { views: Record<string, string>; here: string }) {
    return (
        <nav aria-label="Views">
            <ul>
                {Object.entries(views).map(([view, title]) => (
                    <li key={view}>
                        <a href={`#/${view}`} aria-current={view === here ? "page" : undefined}>
                            {title}
                        </a>
                    </li>
                ))}
            </ul>
        </nav>
    );
}

/** Before it is known who sits here. */
export function Waiting({ online }: { online: boolean }) {
    return (
        <main class="narrow">
            <h1>Class</h1>
            <p role="status">
                {online ? "One moment" : "The server does not answer yet. This page goes on as soon as it does."}
            </p>
        </main>
    );
}

/** Where somebody is on the way through the four gates: four boxes, and words. */
export function GateMark({ gate }: { gate: number }) {
    return (
        <span class="gate-mark">
            <span class="boxes" aria-hidden="true">
                {gate_titles.map((title, k) => (
                    <span key={title} class={k + 1 < gate ? "past" : k + 1 === gate ? "here" : ""} />
                ))}
            </span>{" "}
            {gate > 4 ? "all gates passed" : `gate ${gate}, ${gate_title(gate).toLowerCase()}`}
        </span>
    );
}

export const gate_words = (me: Me): string =>
    me.gate > 4 ? "All gates are passed" : `Gate ${me.gate} of 4: ${gate_title(me.gate)}`;

function Unread({ build }: { build: Build }) {
    return (
        <div class="problems">
            <p>
                <strong>The wire list could not be read.</strong>
            </p>
            <ul>
                {build.problems.map((p, k) => (
                    <li key={k}>
                        {p.message}
                        {p.expected && <span class="soft"> (expected: {p.expected})</span>}
                    </li>
                ))}
            </ul>
        </div>
    );
}

function MistakeRow({ of: m }: { of: Mistake }) {
    return (
        <li>
            <p>
                <Mark verdict={m.harm} /> <strong>{m.words}</strong>
            </p>
            {m.sentence && <p>{m.sentence}</p>}
            <p>
                {m.remedy}
                {m.links.length > 0 && <span class="soft"> Touches: {m.links.join(", ")}.</span>}
            </p>
        </li>
    );
}

/** What became of a build. The learner gets mistakes and marks when the instructor shows them. */
export function BuildResult({ build }: { build: Build }) {
    if (!build.accepted) return <Unread build={build} />;
    return (
        <>
            {build.stop && <Stop why={build.stop} />}
            <p>
                {count(build.wires, "wire")} {build.wires === 1 ? "was" : "were"} read.{" "}
                {build.released &&
                    (build.as_planned ? "They make the nets of the plan." : "They do not make the nets of the plan.")}
                {build.harm && (
                    <>
                        {" "}
                        As it stands: <Mark verdict={build.harm} />
                    </>
                )}
            </p>
            {build.links.length > 0 && <p>Links that do not work as they should: {build.links.join(", ")}.</p>}
            {build.problems.length > 0 && (
                <ul>
                    {build.problems.map((p, k) => (
                        <li key={k}>{p.message}</li>
                    ))}
                </ul>
            )}
            {build.mistakes.length > 0 && (
                <ul class="mistakes">
                    {build.mistakes.map((m, k) => (
                        <MistakeRow key={k} of={m} />
                    ))}
                </ul>
            )}
            {build.points !== null && build.of !== null && <Marks build={build} />}
        </>
    );
}

function Marks({ build }: { build: Build }) {
    return (
        <>
            <p class="hint">
                Marks are for the build as it was handed in, its wires and parts. Readings that were entered under
                Checks pass gates; they are not handed in with a build.
            </p>
            <div class="scroll" role="region" aria-label="Marks" tabIndex={0}>
                <table>
                    <caption>
                        Marks: {mark_words(build.points ?? 0, build.of ?? 0)}
                        {build.open ? `, ${build.open} still to be given by hand` : ""}
                    </caption>
                    <thead>
                        <tr>
                            <th scope="col">For</th>
                            <th scope="col" class="right">
                                Points
                            </th>
                            <th scope="col">Why points are missing</th>
                        </tr>
                    </thead>
                    <tbody>
                        {build.criteria.map((c) => (
                            <tr key={c.id}>
                                <th scope="row">{c.words}</th>
                                <td class="right">{c.open ? `- of ${c.of}` : mark_words(c.points, c.of)}</td>
                                <td>{c.open ? "the instructor gives these" : c.reasons.join("; ")}</td>
                            </tr>
                        ))}
                    </tbody>
                </table>
            </div>
        </>
    );
}
