class BackupTrouble(Exception):
    """Why a backup or a restore stops, in a sentence with what to do."""
