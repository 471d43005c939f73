using System.Buffers;
using System.Buffers.Binary;
using System.Collections.Immutable;
using System.Runtime.InteropServices;
using System.Text;
using Recipes.Imaging;

namespace Recipes.Protocol;

/// <summary>Writes a message's fields, one after the other, as <see cref="MessageReader"/> takes them.</summary>
public sealed class MessageWriter
{
    private readonly ArrayBufferWriter<byte> bytes = new();

    internal ReadOnlySpan<byte> Written => bytes.WrittenSpan;

    /// <summary>One byte, 1 or 0.</summary>
    public void Flag(bool value) => bytes.Write([value ? (byte)1 : (byte)0]);

    /// <summary>4 bytes.</summary>
    public void Number(int value)
    {
        Span<byte> word = stackalloc byte[4];
        BinaryPrimitives.WriteInt32LittleEndian(word, value);
        bytes.Write(word);
    }

    /// <summary>8 bytes.</summary>
    public void Number(long value)
    {
        Span<byte> word = stackalloc byte[8];
        BinaryPrimitives.WriteInt64LittleEndian(word, value);
        bytes.Write(word);
    }

    /// <summary>8 bytes.</summary>
    public void Number(double value) => Number(BitConverter.DoubleToInt64Bits(value));

    /// <summary>A flag that says whether it is there, then the number.</summary>
    public void Optional(int? value)
    {
        Flag(value is not null);
        if (value is { } number)
        {
            Number(number);
        }
    }

    /// <inheritdoc cref="Optional(int?)"/>
    public void Optional(double? value)
    {
        Flag(value is not null);
        if (value is { } number)
        {
            Number(number);
        }
    }

    /// <summary>Length in bytes, then UTF-8.</summary>
    public void Text(string value)
    {
        // What is no Unicode text becomes its replacement character.
        byte[] text = Encoding.UTF8.GetBytes(value);
        Number(text.Length);
        bytes.Write(text);
    }

    /// <summary>A flag that says whether it is there, then the text.</summary>
    public void Optional(string? value)
    {
        Flag(value is not null);
        if (value is not null)
        {
            Text(value);
        }
    }

    /// <summary>R, G, B, A.</summary>
    public void Color(Rgba8 value) => bytes.Write(MemoryMarshal.AsBytes([value]));

    /// <summary>Left, top, width, height.</summary>
    public void Box(Box value)
    {
        Number(value.X);
        Number(value.Y);
        Number(value.Width);
        Number(value.Height);
    }

    /// <summary>A flag that says whether it is there, then the box.</summary>
    public void Optional(Box? value)
    {
        Flag(value is not null);
        if (value is { } box)
        {
            Box(box);
        }
    }

    /// <summary>How many, then each.</summary>
    public void List<T>(ImmutableArray<T> items, Action<T> write)
    {
        ArgumentNullException.ThrowIfNull(write);
        Number(items.Length);
        foreach (var item in items)
        {
            write(item);
        }
    }
}
