// R2005
double width = Param.Length("width", "wide");
