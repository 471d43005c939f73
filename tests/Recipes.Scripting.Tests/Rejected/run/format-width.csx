// R4001
string s = string.Format("{0,999999999}", 1);
