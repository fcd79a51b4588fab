/** The links of a bench with their verdicts. */
import type { Dispatch } from "../model/actions";
import type { LinkRow, Rows } from "../model/bench_rows";
import { hash_of } from "../model/routes";
import type { State } from "../model/state";
import { edit, type Open } from "./bench_lists";
import { Amount, Mark, Progress, Scroll } from "./pieces";

function LinkLine({ row, dispatch }: { row: LinkRow; dispatch: Dispatch }) {
    const { name, judged, decides, planned } = row;
    return (
        <tr role="row" data-thing={`link ${name}`}>
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

export function Links({
    s,
    all,
    dispatch,
    open,
}: {
    s: State;
    all: Rows;
    dispatch: Dispatch;
    open: (o: Open) => void;
}) {
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
