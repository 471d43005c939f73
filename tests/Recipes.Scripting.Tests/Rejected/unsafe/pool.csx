// R2002
var rented = System.Buffers.ArrayPool<byte>.Shared.Rent(10);
