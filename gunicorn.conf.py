"""What gunicorn needs beside its defaults; it reads this file by itself where it is started."""

# A worker that streams a long ledger, or sets a long log, is busy and not stuck: after the default's 30 s it would be
# cut short.
timeout = 300
