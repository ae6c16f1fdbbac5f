/** Bodies that store heat and the links by which it flows between them. What one loses another gains, exactly. */

/** A body at one temperature throughout. Its state is `heatJ`, counted from a zero of its own. */
export type Body = {
  heatJ: number;
  /** Returns the temperature in °C that goes with a heat in J. */
  tempAt(heatJ: number): number;
};

/** A way for heat; `watts` is counted from `from` to `to`, and negative where it runs back. */
export type Link = { from: Body; to: Body; watts(fromC: number, toC: number): number };

export function tempC(body: Body): number {
  return body.tempAt(body.heatJ);
}

/** Makes a body of constant heat capacity in J/K. */
export function plainBody(o: { capacityJPerK: number; startC: number }): Body {
  return { heatJ: o.capacityJPerK * o.startC, tempAt: (heatJ) => heatJ / o.capacityJPerK };
}

/** Makes a body whose temperature is given from outside, whatever heat it takes; `heatJ` keeps the account. */
export function reservoir(temperatureC: () => number): Body {
  return { heatJ: 0, tempAt: temperatureC };
}

/** What a freezing body is made of; heats in J/(kg·K), latent heat in J/kg. */
export type Freezing = {
  massKg: number;
  freezesC: number;
  latentJPerKg: number;
  liquidJPerKgK: number;
  solidJPerKgK: number;
};

/**
 * Makes a body that melts and freezes at one temperature. Its heat is counted from the liquid at that
 * temperature, so a heat below zero is `solidKg` times the latent heat until all is solid. (Solutes hold
 * some water liquid well below the freezing point; that is left out.)
 */
export function freezingBody(o: Freezing & { startC: number; solidKg: number }): Body {
  const meltingJ = o.massKg * o.latentJPerKg;
  const overJ = o.massKg * o.liquidJPerKgK * Math.max(0, o.startC - o.freezesC);
  return {
    heatJ: o.solidKg > 0 ? -o.solidKg * o.latentJPerKg : overJ,
    tempAt: (heatJ) => {
      if (heatJ >= 0) return o.freezesC + heatJ / (o.massKg * o.liquidJPerKgK);
      if (heatJ >= -meltingJ) return o.freezesC;
      return o.freezesC + (heatJ + meltingJ) / (o.massKg * o.solidJPerKgK);
    },
  };
}

/** Returns how much of a freezing body is solid, from 0 to all of it. */
export function solidKg(body: Body, of: Freezing): number {
  return Math.min(of.massKg, Math.max(0, -body.heatJ / of.latentJPerKg));
}

/** Makes the watts of a link with a constant conductance in W/K. */
export function conduction(wPerK: number): (fromC: number, toC: number) => number {
  return (fromC, toC) => wPerK * (fromC - toC);
}

/**
 * Returns the function that moves all linked bodies on by a span in seconds, by the midpoint rule
 * (second-order Runge-Kutta). Spans must be short against the quickest body; 1 s serves all bodies here.
 */
export function networkOf(links: readonly Link[]): (spanS: number) => void {
  const nodes = new Map<Body, { body: Body; startJ: number; gainW: number; nowC: number }>();
  for (const body of links.flatMap((link) => [link.from, link.to])) {
    nodes.set(body, { body, startJ: 0, gainW: 0, nowC: 0 });
  }
  const all = [...nodes.values()];
  const wired = links.map((link) => ({
    watts: link.watts,
    from: nodes.get(link.from) as (typeof all)[number],
    to: nodes.get(link.to) as (typeof all)[number],
  }));
  const reckonGains = () => {
    for (const node of all) {
      node.gainW = 0;
      node.nowC = tempC(node.body);
    }
    for (const { from, to, watts } of wired) {
      const flowW = watts(from.nowC, to.nowC);
      from.gainW -= flowW;
      to.gainW += flowW;
    }
  };
  return (spanS) => {
    for (const node of all) node.startJ = node.body.heatJ;
    for (const part of [0.5, 1]) {
      reckonGains();
      for (const node of all) node.body.heatJ = node.startJ + node.gainW * spanS * part;
    }
  };
}
