"""What a temperature means for a load, tray, batch, reheat, unit or delivery, by the plan of that very subject.

Pages, charts and the log word these answers; none of them compares a reading with a limit.
"""
