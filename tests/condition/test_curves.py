"""Parts of the score, and their average over the light."""

import numpy as np
from sklearn.linear_model import LogisticRegression

from tests.condition.examples import measured, plain_model
from tipvision.condition.condition import CONDITIONS
from tipvision.condition.curves import averaged
from tipvision.condition.features import NAMES, UNDER_LIGHT, features_of
from tipvision.measure.bands import load_bands

MODEL = plain_model(lightness={"unused": 8, "dry_black": -8}, shine={"wet_black": 6})


def test_the_parts_are_those_of_scikit_learn():
    """Reference library: the same slopes in scikit-learn's logistic regression."""
    features = features_of(measured(40, shine=3, doubt=10), load_bands())
    oracle = LogisticRegression()
    oracle.classes_ = np.arange(len(CONDITIONS))
    oracle.coef_ = MODEL.curves.slopes.reshape(len(CONDITIONS), -1)
    oracle.intercept_ = MODEL.curves.offsets
    design = MODEL.curves.standard(features.rows()).reshape(64, -1)
    expected = oracle.predict_proba(design).mean(axis=0)
    ours = np.exp(averaged(*MODEL.curves.parts(features), MODEL.curves.offsets))
    np.testing.assert_allclose(ours, expected, atol=1e-12)


def test_a_feature_that_is_not_known_counts_as_usual():
    features = features_of(measured(50), load_bands())
    _, once = MODEL.curves.parts(features)
    assert np.isnan(features.once).any()
    assert np.isfinite(once).all()
    strap = NAMES.index("nose_to_strap") - len(UNDER_LIGHT)
    np.testing.assert_array_equal(once[strap], 0.0)
