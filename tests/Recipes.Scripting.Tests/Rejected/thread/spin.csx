// R2002
System.Threading.SpinWait.SpinUntil(() => false);
