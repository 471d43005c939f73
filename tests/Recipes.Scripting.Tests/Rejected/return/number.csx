// R2003 source
return 1;
