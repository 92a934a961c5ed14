"""Whole libraries, on a cluster: the findings of many patterns with Dask.

Needs the extra ``proofhook[cluster]``::

    from dask import bag
    from proofhook.library import findings

    texts = bag.from_sequence([("turnip.txt", "Rnd 1: 6 sc in a magic ring. (7)")])
    for line in findings(texts):
        ...

Every line is what ``proofhook proof --format json`` writes about that file.
"""

from __future__ import annotations

import logging
from functools import partial
from typing import TYPE_CHECKING

from proofhook.catalogue.job import Job
from proofhook.catalogue.work import pack_of, work
from proofhook.proofing.house import House

if TYPE_CHECKING:
    from dask.bag import Bag


def findings(texts: Bag, house: House | None = None) -> Bag:
    """A bag of what is found, one JSON text a pattern, in the order of ``texts``.

    ``texts`` is a bag of pairs: a path, which is only kept for messages and for the parts of
    the style sheet that hold for some folders, and the text of a pattern.  The plug-ins that
    the house names must be there on every worker.
    """
    done: Bag = texts.map(partial(found, house=house or House()))
    return done


def found(pattern: tuple[str, str], house: House) -> str:
    """What is found in one pattern, as one line of JSON.

    A rule that fails is told of in a warning of the log.  Raises PluginError where a plug-in
    of the house cannot be used.
    """
    from proofhook.proofing.plugins import PluginError
    from proofhook.proofing.proof import Proof
    from proofhook.showing.as_json import dumped, proof_value

    path, text = pattern
    house = house.in_folder_of(path)
    pack = pack_of(house.plugins)
    if pack.troubles:
        raise PluginError(pack.troubles[0])
    done = work(Job(path, text, False, house, house.plugins))
    found = done.found or ((), (), ())
    for failure in found[1]:
        logging.getLogger("proofhook").warning("%s", failure)
    return dumped(proof_value(Proof(done.tally.pattern, done.tally, house, *found)))
