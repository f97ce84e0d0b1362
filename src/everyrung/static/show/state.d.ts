import type { SidesKept } from "./sides.js";

/** What the stage that leads tells the other screens: with the run sheet, all they need to show what it shows. */
export interface State {
  is: "state";
  setting: string;
  track: string;
  speed: number;
  begun: boolean;
  taken: number[];
  sides: SidesKept;
  playing: boolean;
  ended: boolean;
  card: boolean;
  ms: number;
  says: string;
}
