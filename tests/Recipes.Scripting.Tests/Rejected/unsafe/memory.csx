// R2002
Memory<int> m = new int[3];
