// R2007
#load "/etc/passwd"
