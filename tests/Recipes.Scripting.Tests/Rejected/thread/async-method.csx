// R2003
async System.Threading.Tasks.Task Go() { }
Go();
