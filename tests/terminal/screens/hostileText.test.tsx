/** Hostile text in every field a screen shows: it stays letters in its place, and the picture keeps its size. */
import { renderToString } from "ink";
import { describe, expect, it } from "vitest";
import { LiveScreen } from "../../../src/terminal/screens/live.tsx";
import { nextLiveState } from "../../../src/terminal/screens/liveState.ts";
import { ReplayScreen } from "../../../src/terminal/screens/replay.tsx";
import { TestScreen } from "../../../src/terminal/screens/test.tsx";
import type { TestState } from "../../../src/terminal/screens/testState.ts";
import { HOSTILE, harmIn } from "../../support/hostileText.ts";
import { cannedState } from "../canned.ts";
import { cannedFilm, cannedReplay, factsOf } from "../cannedFilm.ts";
import { cannedLive } from "../cannedLive.ts";

const LOOKS = new RegExp(`${"\u001b"}\\[[0-9;]*m`, "g");

function isHarmless(screen: React.ReactElement): void {
  const text = renderToString(screen, { columns: 80 }).replaceAll(LOOKS, "");
  expect(harmIn(text)).toEqual([]);
  expect(text.split("\n").length).toBeLessThanOrEqual(24);
}

describe.each(HOSTILE)("%s", (_what, evil) => {
  it("on the screen of a test", () => {
    const state = cannedState("hold", 80, 24);
    const { view, start } = state;
    if (view === null) throw new Error("no view");
    const { limits } = start;
    const hostile: TestState = {
      ...state,
      start: {
        ...{ ...start, id: evil, stage: evil, tester: evil, program: evil },
        section: { ...start.section, id: evil, material: evil },
        limits: { ...limits, method: { id: evil, title: evil, source: evil }, cautions: [evil], provenance: evil },
        gauge: { ...start.gauge, url: evil, name: evil, serial: evil },
      },
      cautions: [evil, evil],
      turns: [{ at_s: 1, code: evil, text: evil, bell: null }],
    };
    for (const phase of ["idle", "charge", "settle", "hold", "vent"] as const) {
      const now = { ...view, phase, ask: { ...view.ask, say: evil }, alarm: evil, gauge: { ...view.gauge, identity: evil } };
      isHarmless(<TestScreen state={{ ...hostile, view: now }} />);
    }
  });

  it("on the screen of a replay", () => {
    const film = cannedFilm({ bytes: () => new TextEncoder().encode(evil.slice(0, 300)), detail: evil });
    const facts = factsOf(film, { changes: [evil], seal: { word: evil, what: evil }, cautions: [evil] });
    const { recorded } = cannedReplay(80, 24);
    const state = { ...cannedReplay(80, 24), recorded: { ...recorded, ...facts } };
    for (const [bytes, figures] of [
      [false, false],
      [true, false],
      [false, true],
      [true, true],
    ] as const)
      isHarmless(<ReplayScreen state={{ ...state, bytes, figures }} />);
  });

  it("on the screen of a gauge that is watched", () => {
    const state = cannedLive("leaking", 80, 24, { gauge: evil });
    if (state.look === null) throw new Error("no look");
    const { view } = state.look;
    const named = { ...state, look: { ...state.look, view: { ...view, health: { ...view.health, identity: evil } } } };
    isHarmless(<LiveScreen state={nextLiveState(named, { kind: "notice", now_ms: 0, text: evil })} />);
  });
});
