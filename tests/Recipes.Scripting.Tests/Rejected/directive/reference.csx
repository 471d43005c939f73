// R2003 no-assembly
#r "System.Net.Http"
