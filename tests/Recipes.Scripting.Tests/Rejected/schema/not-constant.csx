// R2005
string name = "near";
int near = Param.Levels(name, 24);
