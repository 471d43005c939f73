// R2003 source
1 + 1
