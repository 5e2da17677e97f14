"""The dashboard: screens, plots and words over `engine`; it holds no formula of the game."""
