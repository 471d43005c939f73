using System.Buffers.Binary;
using System.Collections.Immutable;
using System.Runtime.InteropServices;
using System.Text;
using Recipes.Imaging;

namespace Recipes.Protocol;

/// <summary>Reads what <see cref="MessageWriter"/> wrote, or what a stranger says it wrote: nothing is taken that its bytes don't hold.</summary>
public sealed class MessageReader
{
    private const int FirstPlaces = 256;
    private static readonly UTF8Encoding Strict = new(encoderShouldEmitUTF8Identifier: false, throwOnInvalidBytes: true);

    private readonly byte[] bytes;
    private int at;

    internal MessageReader(byte[] bytes) => this.bytes = bytes;

    /// <summary>True or false; another byte than 1 and 0 is no flag.</summary>
    public bool Flag() => Byte() switch
    {
        0 => false,
        1 => true,
        _ => throw new FrameException("A message holds a flag that is neither up nor down."),
    };

    /// <summary>4 bytes.</summary>
    public int Number() => BinaryPrimitives.ReadInt32LittleEndian(Take(4));

    /// <summary>8 bytes.</summary>
    public long LongNumber() => BinaryPrimitives.ReadInt64LittleEndian(Take(8));

    /// <summary>8 bytes of a finite number.</summary>
    public double RealNumber()
    {
        double value = BitConverter.Int64BitsToDouble(LongNumber());
        return double.IsFinite(value) ? value : throw new FrameException("A message holds a number that isn't finite.");
    }

    /// <summary>A number, or null.</summary>
    public int? OptionalNumber() => Flag() ? Number() : null;

    /// <summary>A finite number, or null.</summary>
    public double? OptionalRealNumber() => Flag() ? RealNumber() : null;

    /// <summary>A text of valid UTF-8.</summary>
    public string Text()
    {
        try
        {
            return Strict.GetString(Take(Number()));
        }
        catch (DecoderFallbackException e)
        {
            throw new FrameException($"A message holds bytes that are no text: {e.Message}");
        }
    }

    /// <summary>A text, or null.</summary>
    public string? OptionalText() => Flag() ? Text() : null;

    /// <summary>A color.</summary>
    public Rgba8 Color() => MemoryMarshal.Read<Rgba8>(Take(4));

    /// <summary>A box of any numbers; the host judges it.</summary>
    public Box Box() => new(Number(), Number(), Number(), Number());

    /// <summary>A box, or null.</summary>
    public Box? OptionalBox() => Flag() ? Box() : null;

    /// <summary>One of an enumeration's members, by its number below 256.</summary>
    /// <param name="members">How many there are, counted from 0.</param>
    public int OneOf(int members)
    {
        int value = Number();
        return value >= 0 && value < members ? value : throw new FrameException("A message holds a choice that isn't one.");
    }

    /// <summary>A list.</summary>
    public ImmutableArray<T> List<T>(Func<MessageReader, T> read)
    {
        ArgumentNullException.ThrowIfNull(read);
        int count = Number();
        // Whatever is listed takes a byte at least, but its place in the list eight: places are made as items come.
        if (count < 0 || count > bytes.Length - at)
        {
            throw new FrameException("A message holds a list longer than itself.");
        }

        var items = ImmutableArray.CreateBuilder<T>(Math.Min(count, FirstPlaces));
        for (int i = 0; i < count; i++)
        {
            items.Add(read(this));
        }

        return items.DrainToImmutable();
    }

    internal void End()
    {
        if (at != bytes.Length)
        {
            throw new FrameException("A message is longer than its content.");
        }
    }

    private byte Byte() => Take(1)[0];

    private ReadOnlySpan<byte> Take(int count)
    {
        if (count < 0 || count > bytes.Length - at)
        {
            throw new FrameException("A message is shorter than its content says.");
        }

        at += count;
        return bytes.AsSpan(at - count, count);
    }
}
