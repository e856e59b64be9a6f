"""What gunicorn needs beside its defaults; it reads this file by itself where it is started."""

# A worker that streams a long ledger, or sets a long log, is busy and not stuck: the default of 30 s would cut it short.
timeout = 300
