"""The formats FFmpeg may open, as its option `format_whitelist` wants them.

Only self-contained ones: playlists and scripts (hls, dash, concat) would open other files and addresses.
"""

FORMATS = (
    "3gp,aac,ac3,aiff,amr,amrnb,amrwb,asf,avi,caf,eac3,flac,flv,loas,matroska,webm,mov,mp4,m4a,3g2,mj2,"
    "mp3,mpeg,mpegts,ogg,w64,wav"
)
