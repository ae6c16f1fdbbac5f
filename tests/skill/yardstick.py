"""Trains gradient boosting (scikit-learn) on rows of one population and prints its chances for other rows.

argv: width of a row, file of rows to learn from, file of rows to answer (float32), columns that are asked about.
Columns 2, 3 and 4 are what was told, the minute and the true crossing; those from 5 on are what may be known.
"""
import sys
import numpy
from sklearn.ensemble import HistGradientBoostingClassifier

width, deadline_min = int(sys.argv[1]), float(sys.argv[2])
learned, asked = (numpy.fromfile(name, numpy.float32).reshape(-1, width) for name in sys.argv[3:5])
chances = numpy.zeros(len(asked), numpy.float32)
for told in (0, 1):
    own, to_answer = learned[learned[:, 2] == told], asked[:, 2] == told
    boosting = HistGradientBoostingClassifier(
        max_iter=300, learning_rate=0.05, max_leaf_nodes=31, min_samples_leaf=40, l2_regularization=1.0, random_state=1
    ).fit(own[:, 5:], own[:, 4] <= deadline_min)
    chances[to_answer] = boosting.predict_proba(asked[to_answer][:, 5:])[:, 1]
chances.tofile(sys.argv[5])
