"""The words of everything `recordings` says; registered when the app is ready."""
