/** The summary of a class: gates, mistakes, readings, minutes. */
import type { Summary } from "../hall/answers";
import { count } from "../model/words";
import { Mark } from "../views/pieces";
import { Cards, type Column } from "./cards";

const share = (part: number, of: number) => (of === 0 ? "-" : `${part} of ${of}`);

function Gates({ summary }: { summary: Summary }) {
    return (
        <table>
            <caption>Gates</caption>
            <thead>
                <tr>
                    <th scope="col">Gate</th>
                    <th scope="col" class="right">
                        Passed
                    </th>
                    <th scope="col" class="right">
                        Waiting
                    </th>
                </tr>
            </thead>
            <tbody>
                {summary.gates.map((g) => (
                    <tr key={g.gate}>
                        <th scope="row">
                            {g.gate} {g.title.toLowerCase()}
                        </th>
                        <td class="right">{share(g.passed, summary.learners)}</td>
                        <td class="right">{g.waiting || "-"}</td>
                    </tr>
                ))}
            </tbody>
        </table>
    );
}

const whole_minutes = (minutes: number) => (minutes < 10 ? minutes.toFixed(1) : minutes.toFixed(0));

const minute_columns: Column[] = [
    { words: "Phase", wide: true },
    { words: "Planned", right: true },
    { words: "Taken (median)", right: true },
    { words: "Learners", right: true },
    { words: "Next time", right: true },
];

function Minutes({ summary }: { summary: Summary }) {
    const sum = (of: (m: Summary["minutes"][number]) => number) =>
        whole_minutes(summary.minutes.reduce((all, m) => all + of(m), 0));
    return (
        <>
            <Cards
                label="Minutes of the class"
                caption="Minutes: as planned, taken here, and as they correct the plan of the next class"
                columns={minute_columns}
                rows={[
                    ...summary.minutes.map((m) => ({
                        key: m.phase,
                        cells: [
                            m.words,
                            whole_minutes(m.planned),
                            m.minutes === null ? "-" : whole_minutes(m.minutes),
                            m.learners || "-",
                            whole_minutes(m.next),
                        ],
                    })),
                    { key: "", cells: ["All", sum((m) => m.planned), "-", "-", sum((m) => m.next)] },
                ]}
            />
            <p class="no-print">
                <a href="/api/class/minutes" download="minutes.csv">
                    Minutes as a file
                </a>{" "}
                for the time plan of the lesson notes:{" "}
                <span class="mono">voltsill sheets BENCH --for instructor --log minutes.csv</span>. Pauses of more than
                10 minutes count as 10.
            </p>
        </>
    );
}

function Counts({ caption, of, rows }: { caption: string; of: number; rows: Summary["kinds"] }) {
    if (rows.length === 0) return null;
    return (
        <table>
            <caption>{caption}</caption>
            <tbody>
                {rows.map((r) => (
                    <tr key={r.name}>
                        <th scope="row">{r.name}</th>
                        <td class="right whole">{share(r.learners, of)}</td>
                    </tr>
                ))}
            </tbody>
        </table>
    );
}

const mistake_columns: Column[] = [
    { words: "Mistake", wide: true },
    { words: "Alone it is", wide: true },
    { words: "Learners", right: true },
    { words: "Seen at" },
    { words: "Links", wide: true },
];

function Mistakes({ summary }: { summary: Summary }) {
    if (summary.mistakes.length === 0) return null;
    return (
        <Cards
            label="Mistakes of the class"
            caption="Mistakes, the most frequent first"
            columns={mistake_columns}
            rows={summary.mistakes.map((m) => ({
                key: m.words,
                cells: [
                    m.words,
                    <Mark verdict={m.harm} />,
                    share(m.learners, summary.handed_in),
                    m.gate > 0 ? `gate ${m.gate}` : "by eye",
                    m.links.join(", ") || "-",
                ],
            }))}
        />
    );
}

const reading_columns: Column[] = [
    { words: "Reading", wide: true },
    { words: "Link", wide: true },
    { words: "Gate", right: true },
    { words: "Entered by", right: true },
    { words: "Right now", right: true },
    { words: "Hints", right: true },
];

function Readings({ summary }: { summary: Summary }) {
    const entered = summary.checks.filter((c) => c.entered > 0).sort((a, b) => b.wrong - a.wrong || a.gate - b.gate);
    if (entered.length === 0) return null;
    return (
        <Cards
            label="Readings of the class"
            caption="Readings, the least often right first"
            columns={reading_columns}
            rows={entered.map((c) => ({
                key: c.id,
                cells: [
                    c.what,
                    c.link ?? "-",
                    c.gate,
                    share(c.entered, summary.learners),
                    share(c.right, c.entered),
                    c.hints || "-",
                ],
            }))}
        />
    );
}

export function SummaryView({ of: summary }: { of: Summary }) {
    const { learners, handed_in, without_mistake, harmful } = summary;
    const kinds = summary.kinds.map((k) => ({ ...k, name: k.name.replaceAll("-", " ") }));
    const how = handed_in > 0 && `, ${without_mistake} of them without a mistake, ${harmful} that would harm a part`;
    return (
        <>
            <p>
                {count(learners, "learner")}; {handed_in} handed in a build{how}.
            </p>
            <div class="tables">
                <Gates summary={summary} />
                <Counts caption="Kinds of mistakes" of={handed_in} rows={kinds} />
                <Counts caption="Links they touch" of={handed_in} rows={summary.links} />
            </div>
            <Mistakes summary={summary} />
            <Readings summary={summary} />
            <Minutes summary={summary} />
        </>
    );
}
