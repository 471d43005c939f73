// R2005
Func<string, bool, string, bool> flag = Param.Flag;
