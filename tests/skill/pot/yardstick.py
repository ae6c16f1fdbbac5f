"""Trains gradient boosting (scikit-learn) on pots of one make and prints by what log the time left is not as told.

argv: width of a row, file of rows to learn from, file of rows to answer, file for the answers (float32). The first
column is the log to learn; those after it are what may be known.
"""
import sys
import numpy
from sklearn.ensemble import HistGradientBoostingRegressor

width = int(sys.argv[1])
learned, asked = (numpy.fromfile(name, numpy.float32).reshape(-1, width) for name in sys.argv[2:4])
boosting = HistGradientBoostingRegressor(
    loss="absolute_error", max_iter=600, learning_rate=0.05, max_leaf_nodes=24, min_samples_leaf=30,
    l2_regularization=1.0, random_state=1,
).fit(learned[:, 1:], numpy.clip(learned[:, 0], -2, 2))
boosting.predict(asked[:, 1:]).astype(numpy.float32).tofile(sys.argv[4])
