"""Two other ways to the same answer, which share no code with the weighing: plain enumeration, and a Bayesian network.

The story told by both. A hypothesis H is drawn from the prior. Each origin is sound, or not; a sound one is about H, a
failed one is about a pretended hypothesis K, drawn from the same prior without regard to H. What it is about is its
theme X. Each note tracks the theme, and then is made with its bearing there; or it does not, and is made with chance c
whatever the theme. A prediction's model applies to the theme, or not, and then the prediction says c.
"""

from itertools import product

import numpy as np

from ledger.weighing.values import NONE, Case, Feasibility, Note, Prediction


def mean(case, values):
    """Return the prior-weighted mean over the named rivals."""
    named = [rival for rival in case.prior if rival != NONE]
    return sum(case.prior[rival] * values[rival] for rival in named) / sum(case.prior[rival] for rival in named)


def bearing_of(case, note):
    """Return a note's chance under every rival, unjudged ones and NONE filled in, and its c."""
    low, high = min(note.bearing.values()), max(note.bearing.values())
    full = {rival: note.bearing.get(rival, (low + high) / 2) for rival in case.prior if rival != NONE}
    regardless = mean(case, full)
    return {**full, NONE: regardless}, regardless


def density_of(case, prediction):
    """Return a prediction under every rival: chance where its model applies, where not, doubt, and its c.

    All are over the greatest density, which makes chances of them.
    """
    greatest = max(prediction.density.values())
    applies = {rival: value / greatest for rival, value in prediction.density.items()}
    fails = mean(case, applies)
    doubt = {rival: prediction.doubt.get(rival, 0.0) for rival in applies}
    regardless = mean(case, {rival: (1 - doubt[rival]) * applies[rival] + doubt[rival] * fails for rival in applies})
    return {**applies, NONE: regardless}, fails, {**doubt, NONE: 0.0}, regardless


def feasible(case):
    factors = dict.fromkeys(case.prior, 1.0)
    for item in case.feasibilities:
        factors[item.rival] = item.holds * (1 - item.doubt) + item.doubt
    return factors


def enumerated(case):
    """Return P(H | everything) by adding up every state of the world one by one."""
    rivals, origins = list(case.prior), sorted({row.origin for row in (*case.notes, *case.predictions)})
    known = feasible(case)
    notes = [(note, *bearing_of(case, note)) for note in case.notes]
    predictions = [(item, *density_of(case, item)) for item in case.predictions]
    total = dict.fromkeys(rivals, 0.0)
    yes_no = (True, False)
    for truth, *themes in product(rivals, *[list(product(yes_no, rivals))] * len(origins)):
        chance = case.prior[truth] * known[truth]
        theme = {}
        for origin, (sound, pretended) in zip(origins, themes, strict=True):
            chance *= (case.soundness[origin] if sound else 1 - case.soundness[origin]) * case.prior[pretended]
            theme[origin] = truth if sound else pretended
        states = 0.0
        for tracks in product(yes_no, repeat=len(notes) + len(predictions)):
            for models in product(yes_no, repeat=len(predictions)):
                state = 1.0
                for (note, bearing, regardless), tracking in zip(notes, tracks, strict=False):
                    state *= note.credibility if tracking else 1 - note.credibility
                    state *= bearing[theme[note.origin]] if tracking else regardless
                for (item, applies, fails, doubt, regardless), tracking, model in zip(
                    predictions, tracks[len(notes) :], models, strict=True
                ):
                    about = theme[item.origin]
                    state *= item.credibility if tracking else 1 - item.credibility
                    state *= 1 - doubt[about] if model else doubt[about]
                    state *= regardless if not tracking else applies[about] if model else fails
                states += state
        total[truth] += chance * states
    everything = sum(total.values())
    return {rival: value / everything for rival, value in total.items()}


def tables_of(case, tag=""):
    """Return the tables of one question's Bayesian network, its hypothesis being `H<tag>`, and what is observed."""
    from pgmpy.factors.discrete import TabularCPD

    rivals = list(case.prior)
    count = len(rivals)
    prior = [[case.prior[rival]] for rival in rivals]
    truth_node = f"H{tag}"
    tables = [TabularCPD(truth_node, count, prior)]
    evidence = {}

    def event(name, parents, chances):
        """A yes-or-no node; `chances` of yes, one axis a parent."""
        yes = np.asarray(chances, dtype=float)
        tables.append(
            TabularCPD(name, 2, [1 - yes.ravel(), yes.ravel()], parents or None, list(yes.shape) if parents else None)
        )

    origins = sorted({row.origin for row in (*case.notes, *case.predictions)})
    for origin in origins:
        event(f"sound {origin}{tag}", [], [case.soundness[origin]])
        tables.append(TabularCPD(f"pretended {origin}{tag}", count, prior))
        theme = np.zeros((count, count, 2, count))
        for truth, pretended in product(range(count), repeat=2):
            theme[truth, truth, 1, pretended] = 1
            theme[pretended, truth, 0, pretended] = 1
        parents = [truth_node, f"sound {origin}{tag}", f"pretended {origin}{tag}"]
        tables.append(TabularCPD(f"theme {origin}{tag}", count, theme.reshape(count, -1), parents, [count, 2, count]))
    for note in case.notes:
        bearing, regardless = bearing_of(case, note)
        about, tracks, seen = f"theme {note.origin}{tag}", f"tracks {note.ref}{tag}", f"{note.ref}{tag}"
        event(tracks, [], [note.credibility])
        event(seen, [about, tracks], [[regardless, bearing[rival]] for rival in rivals])
        evidence[seen] = 1
    for item in case.predictions:
        applies, fails, doubt, regardless = density_of(case, item)
        about, tracks, model = f"theme {item.origin}{tag}", f"tracks {item.ref}{tag}", f"model of {item.ref}{tag}"
        event(tracks, [], [item.credibility])
        event(model, [about], [1 - doubt[rival] for rival in rivals])
        chances = [[[regardless, regardless], [fails, applies[rival]]] for rival in rivals]
        event(f"{item.ref}{tag}", [about, tracks, model], chances)
        evidence[f"{item.ref}{tag}"] = 1
    event(f"feasible{tag}", [truth_node], [feasible(case)[rival] for rival in rivals])
    evidence[f"feasible{tag}"] = 1
    return tables, evidence


def web_of(tables):
    """Return variable elimination in the network of some tables."""
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

    web = DiscreteBayesianNetwork([(parent, table.variables[0]) for table in tables for parent in table.variables[1:]])
    web.add_nodes_from(table.variables[0] for table in tables)
    web.add_cpds(*tables)
    assert web.check_model()
    return VariableElimination(web)


def network(case):
    """Return P(H | everything) and P(sound | everything) by variable elimination in a Bayesian network (pgmpy)."""
    tables, evidence = tables_of(case)
    asked = web_of(tables)
    found = asked.query(["H"], evidence=evidence, show_progress=False).values
    sound = {
        origin: float(asked.query([f"sound {origin}"], evidence=evidence, show_progress=False).values[1])
        for origin in sorted({row.origin for row in (*case.notes, *case.predictions)})
    }
    return dict(zip(list(case.prior), found.tolist(), strict=True)), sound


def random_case(seed, notes=4, origins=2, predictions=1):
    """Return a case drawn at random: some rivals unjudged, all kinds of doubt, one feasibility."""
    draw = np.random.default_rng(seed)
    named = ["drum", "face-cam", "rack", "sleeve"][: draw.integers(2, 5)]
    shares = draw.dirichlet(np.ones(len(named) + 1))
    sources = [f"sources/s{number}" for number in range(origins)]

    def judged(number):
        keep = [rival for rival in named if draw.random() < 0.8] or named[:1]
        chances = {rival: float(draw.uniform(0.02, 0.98)) for rival in keep}
        return Note(f"evidence/n{number}", str(draw.choice(sources)), float(draw.uniform(0.1, 0.99)), chances)

    def predicted(number):
        density = {rival: float(draw.uniform(0.01, 5)) for rival in named}
        doubt = {rival: float(draw.uniform(0.02, 0.4)) for rival in named[1:]}
        return Prediction(
            f"measurements/m{number}", str(draw.choice(sources)), float(draw.uniform(0.3, 0.99)), density, doubt
        )

    return Case(
        question="questions/at-random",
        prior=dict(zip([*named, NONE], shares.tolist(), strict=True)),
        soundness={source: float(draw.uniform(0.1, 0.99)) for source in sources},
        notes=tuple(judged(number) for number in range(notes)),
        predictions=tuple(predicted(number) for number in range(predictions)),
        feasibilities=(Feasibility(named[0], float(draw.uniform(0, 1)), 0.05, ("calculations/reach",)),),
    )
