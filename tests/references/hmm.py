"""Reference posteriors for host/src/loads/hmm.rs: `python hmm.py` (hmmlearn 0.3.3). Prints Rust."""
import numpy as np
from hmmlearn.hmm import CategoricalHMM

model = CategoricalHMM(n_components=2)
model.startprob_ = np.array([0.6, 0.4])
model.transmat_ = np.array([[0.7, 0.3], [0.4, 0.6]])
model.emissionprob_ = np.array([[0.5, 0.4, 0.1], [0.1, 0.3, 0.6]])
print([[float(f"{p:.12f}") for p in row] for row in model.predict_proba(np.array([[0], [1], [2]]))])
print(model.decode(np.array([[0], [1], [2]])))
