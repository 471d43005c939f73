using System.Security.Cryptography;
using System.Text;

namespace Recipes.Work;

/// <summary>SHA-256 over typed, length-prefixed fields, so that no two lists of fields give the same input.</summary>
internal static class Digest
{
    /// <summary>The digest of a list of null, numbers, text and bytes.</summary>
    public static byte[] Of(params ReadOnlySpan<object?> fields)
    {
        var buffer = new MemoryStream();
        var writer = new BinaryWriter(buffer, Encoding.UTF8);
        foreach (object? field in fields)
        {
            switch (field)
            {
                case null:
                    writer.Write((byte)0);
                    break;
                case int number:
                    writer.Write((byte)1);
                    writer.Write((long)number);
                    break;
                case string text:
                    writer.Write((byte)2);
                    writer.Write(text);
                    break;
                case byte[] bytes:
                    writer.Write((byte)3);
                    writer.Write(bytes.Length);
                    writer.Write(bytes);
                    break;
                default:
                    throw new ArgumentException($"A {field.GetType()} has no digest.", nameof(fields));
            }
        }

        return SHA256.HashData(buffer.GetBuffer().AsSpan(0, (int)buffer.Length));
    }
}
