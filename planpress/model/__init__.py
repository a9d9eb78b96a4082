"""Floor 2: the solved plan: materials, parts, pieces, joints, features, assemblies."""
