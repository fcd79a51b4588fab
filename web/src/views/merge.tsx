/** Two hands changed the file: what I have, what lies on the disk, and what becomes of both. */
import type { Dispatch } from "../model/actions";
import { merged, open_conflicts, type Choice, type Region } from "../model/merge";
import type { State } from "../model/state";
import { count } from "../model/words";

const Lines = ({ lines }: { lines: string[] }) => (
    <pre class="lines" tabIndex={0}>
        {lines.length ? lines.join("\n") : "(nothing)"}
    </pre>
);

/** The ends of an unchanged stretch are enough to see where one is. */
function Same({ lines }: { lines: string[] }) {
    const near = 2;
    if (lines.length <= 2 * near + 1)
        return (
            <pre class="lines soft" tabIndex={0}>
                {lines.join("\n")}
            </pre>
        );
    return (
        <pre class="lines soft" tabIndex={0}>
            {[
                ...lines.slice(0, near),
                `… ${count(lines.length - 2 * near, "line")} the same or merged …`,
                ...lines.slice(-near),
            ].join("\n")}
        </pre>
    );
}

function Conflict({
    region,
    at,
    nth,
    dispatch,
}: {
    region: Extract<Region, { kind: "conflict" }>;
    at: number;
    nth: number;
    dispatch: Dispatch;
}) {
    const pick = (choice: Choice, words: string) => (
        <label class="choice">
            <input
                type="radio"
                name={`conflict-${at}`}
                checked={region.choice === choice}
                onChange={() => dispatch({ do: "choose", at, choice })}
            />{" "}
            {words}
        </label>
    );
    return (
        <fieldset class="conflict">
            <legend>
                Conflict {nth}
                {region.choice === null && ": choose"}
            </legend>
            <div class="two">
                <section>
                    <h3>Mine</h3>
                    <Lines lines={region.mine} />
                </section>
                <section>
                    <h3>On the disk</h3>
                    <Lines lines={region.theirs} />
                </section>
            </div>
            <p class="actions">
                {pick("mine", "Mine")} {pick("theirs", "The disk's")} {pick("both", "Both, mine first")}
            </p>
        </fieldset>
    );
}

export function MergeView({ s, dispatch }: { s: State; dispatch: Dispatch }) {
    if (!s.conflict)
        return (
            <>
                <h1>Merge</h1>
                <p>
                    Nothing is to be merged. <a href="#/bench">To the bench</a>
                </p>
            </>
        );
    const { regions } = s.conflict;
    const open = open_conflicts(regions);
    let nth = 0;
    return (
        <>
            <h1>Merge</h1>
            <p>
                The file changed on the disk while you changed it here. Where only one of you changed a line, the change
                is taken. {open > 0 ? `${count(open, "conflict")} to decide.` : "No conflict is open."}
            </p>
            <p class="actions">
                <button class="main" disabled={open > 0} onClick={() => dispatch({ do: "take-merge" })}>
                    Take the merged text
                </button>{" "}
                <a href="#/bench">Later</a>
            </p>
            {regions.map((r, i) =>
                r.kind === "same" ? (
                    <Same key={i} lines={r.lines} />
                ) : (
                    <Conflict key={i} region={r} at={i} nth={++nth} dispatch={dispatch} />
                ),
            )}
            <section aria-labelledby="merged">
                <h2 id="merged">Merged</h2>
                <pre class="lines whole-text" tabIndex={0}>
                    {merged(regions)}
                </pre>
            </section>
        </>
    );
}
