/** A form whose change is written only when the engine can read it: until then it stays open, with what was typed. */
import { useEffect } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import type { Edit } from "../model/answers";
import { is_about, type Said } from "../model/forms";
import type { State } from "../model/state";
import { useName } from "./ids";
import { ProblemWords } from "./pieces";

export interface Proposal {
    propose: (edits: Edit[], word: string) => void;
    /** What the reader says of the value of a key; shown beside its field. */
    about: (key: string, value: string) => Said[];
    /** What it says of none of these values. */
    besides: (values: Record<string, string>) => Said[];
}

/** `taken`: the change stands in the text. */
export function useProposal(s: State, dispatch: Dispatch, taken: () => void): Proposal {
    const form = useName();
    const mine = s.form?.name === form ? s.form : null;
    useEffect(() => {
        if (mine?.taken) taken();
    }, [mine]);
    const said = mine?.said ?? [];
    const about = (key: string, value: string) => said.filter((one) => is_about(one, key, value));
    return {
        propose: (edits, word) => dispatch({ do: "edit", edits, word, form }),
        about,
        besides: (values) =>
            said.filter((one) => !Object.entries(values).some(([key, value]) => is_about(one, key, value))),
    };
}

export function SaidOfForm({ said }: { said: Said[] }) {
    return (
        <div role="alert">
            {said.map(({ problem }, i) => (
                <p key={i} class="trouble">
                    <ProblemWords of={problem} />
                </p>
            ))}
        </div>
    );
}
