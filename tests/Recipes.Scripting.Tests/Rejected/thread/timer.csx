// R2002
new System.Threading.Timer(_ => { }, null, 0, 1);
