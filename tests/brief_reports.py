"""What workers tell of tests that pass: that they passed, once."""

from __future__ import annotations

import pytest

# not public, but what every plugin that runs tests in a way of its own calls
from _pytest.runner import runtestprotocol


class BriefReports:
    """A plugin for workers: pytest-xdist sends five messages a test, each a tenth of a millisecond on both sides; of what a test
    that passes is set up and taken down with, nothing is told."""

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_makereport(self, item: pytest.Item, call: pytest.CallInfo[None]) -> pytest.TestReport | None:
        """Of what passes, which test: not where it stands, its marks, nor what it printed, which none but a failure shows."""
        if call.excinfo is not None or call.when == "collect":
            return None
        nowhere = ("", None, "")
        spent = (call.duration, call.start, call.stop)
        return pytest.TestReport(item.nodeid, nowhere, {}, "passed", None, call.when, (), *spent)

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_protocol(self, item: pytest.Item, nextitem: pytest.Item | None) -> bool:
        """Run a test as pytest does, and report less of it."""
        for report in runtestprotocol(item, log=False, nextitem=nextitem):
            if report.when == "call" or not report.passed:
                item.ihook.pytest_runtest_logreport(report=report)
        return True


def suffice(config: pytest.Config) -> bool:
    """Whether this is a worker, and nobody asked for what is left out: lengths of time, a file of results, all names, what tests
    that pass print."""
    told = config.option
    asked = told.verbose > 0 or told.durations or told.xmlpath or {*"PApa"} & {*told.reportchars}
    return hasattr(config, "workerinput") and not asked
