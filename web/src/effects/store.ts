/** The state of the page of one's own bench. */
import type { Action, Dispatch } from "../model/actions";
import { reduce } from "../model/reducer";
import { initial, type State } from "../model/state";
import { Held, type Following } from "./held";

export { later, rested } from "./held";
export type Effect = Following<State, Action>;

export class Store extends Held<State, Action> {
    constructor(draw: (state: State, dispatch: Dispatch) => void) {
        super(reduce, initial, draw);
    }
}
