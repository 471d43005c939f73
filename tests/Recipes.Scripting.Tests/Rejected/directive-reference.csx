// R2003
#r "System.Net.Http"
