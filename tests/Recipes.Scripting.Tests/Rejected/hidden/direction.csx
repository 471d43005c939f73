// R2003 source
string level = "user‮ ⁦// clean⁩ ⁦";
