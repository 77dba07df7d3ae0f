"""Order lists as shops have them: what a file is taken for, and what is asked where that is a guess."""
