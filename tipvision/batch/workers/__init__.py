"""Who reads: worker processes of this machine, or a cluster, and what one photo comes to there."""
