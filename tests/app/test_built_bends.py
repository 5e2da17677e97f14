"""How far a head is bent stays with it in the bag and in the document."""

from dataclasses import replace

from app import edits
from engine.documents.case import Case
from engine.documents.reading import read_case
from engine.workshop.build_sheet import build_sheet
from engine.workshop.norms import norm_bag


def test_the_bag_and_the_document_keep_how_far_a_head_is_bent():
    case = Case(bag=tuple(replace(c, head_material=None) for c in norm_bag()))
    five = case.club("5i")
    (work,) = build_sheet([five], [replace(five, loft_deg=five.loft_deg - 1)]).clubs
    made = edits.built(case, (work.target,))
    assert made.club("5i").bent_loft_deg == -1
    assert read_case(made.to_doc()).club("5i").bent_loft_deg == -1
