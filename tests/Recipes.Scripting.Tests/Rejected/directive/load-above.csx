// R2007
#load "../other.csx"
