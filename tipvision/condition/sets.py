"""The labels that a photo allows: conformal sets, class by class."""

from collections.abc import Mapping


def allowed(probabilities: Mapping[str, float], least: Mapping[str, float]) -> tuple[str, ...]:
    """Labels whose probability reaches the least that theirs must have, most probable first.

    least: for each label the probability that all but 5 % of the plugs of that class reach, by the
    finite-sample rule (`teaching.conformal`); 0 lets a label always in, above 1 never.
    The most probable label is always in. Source of the method: conformal prediction class by class
    (Mondrian), with 1 - probability as the score; reference library: crepes, see the tests.
    """
    ranked = sorted(probabilities, key=lambda label: -probabilities[label])
    return tuple(
        label for k, label in enumerate(ranked) if k == 0 or probabilities[label] >= least[label]
    )
