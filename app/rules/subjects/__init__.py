"""A spit, a tray, a batch, a reheat, a unit, a probe: its rules and what a reading means."""
