"""The colour a bath is expected to give."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from ...bath.cautions import cautions_for
from ...colorimetry.covariance import give_or_take
from ...colorimetry.words import colour_words
from ...library import Library
from ...predict import Prediction
from ..text.parse import check_bath, parse_bath
from ..text.shown import steps_as_dicts
from ..text.wording import plain, records, screen
from .delivery_model import DeliveryNote, learn_for
from .learn import LibraryModel

# What somebody who tells of a bath leaves out because there was none of it.
_NOT_NAMED = {"tannin": "none", "assist": "none", "mordant_assist": "none",
              "modifier": "none"}  # fmt: skip


@dataclass(frozen=True)
class PredictAnswer:
    """The colour a bath is expected to give."""

    bath: dict[str, Any]
    prediction: Prediction
    cautions: tuple[str, ...]
    learnt: LibraryModel
    deliveries: tuple[DeliveryNote, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        lab = self.prediction.lab[0]
        return {
            "bath": self.bath,
            "steps": steps_as_dicts(self.bath),
            "lab": lab.tolist(),
            "words": colour_words(lab),
            "covariance": self.prediction.covariance[0].tolist(),
            "pot_covariance": self.prediction.pot_covariance[0].tolist(),
            "unsure": bool(self.prediction.unsure[0]),
            "outside": bool(self.prediction.outside[0]),
            "reasons": list(self.prediction.reasons[0]),
            "assumed": list(self.prediction.notes[0]),
            "cautions": list(self.cautions),
            "give_or_take": give_or_take(lab, self.prediction.pot_covariance[0]),
            "deliveries": [d.as_dict() for d in self.deliveries],
            "left_out": self.learnt.model.cross_validation_.as_dict(),
            "trust": self.learnt.trust,
            "issues": list(self.learnt.issues),
            "meta": self.learnt.model.meta_,
        } | screen(lab)


def predict(library: Library, bath: Iterable[str]) -> PredictAnswer:
    """The colour of one bath, typed as column=value.

    A tannin, addition or after-bath that is not named counts as none; all else as not known. Where
    it names a delivery that was only checked, the answer is corrected for it.
    """
    row = check_bath(_NOT_NAMED | parse_bath(bath)).table
    conditions = plain(records(row)[0])
    chosen = learn_for(library, conditions)
    return PredictAnswer(
        conditions,
        chosen.learnt.model.predict(row),
        tuple(c.sentence for c in cautions_for(conditions)),
        chosen.learnt,
        chosen.deliveries,
    )
