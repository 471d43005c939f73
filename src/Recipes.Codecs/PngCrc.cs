using System.Buffers.Binary;

namespace Recipes.Codecs;

/// <summary>The checksum of PNG chunks: CRC-32 of ISO 3309, polynomial EDB88320 reflected (PNG 3rd edition, 5.5 and Annex D).</summary>
/// <remarks>Eight table look-ups advance the sum by eight bytes, so that checking a whole file costs little beside inflating it.</remarks>
internal static class PngCrc
{
    private const uint Polynomial = 0xEDB88320;

    private static readonly uint[][] Tables = MakeTables();

    /// <summary>The sum over a chunk's type and data, which are handed in one after the other.</summary>
    public static uint Of(ReadOnlySpan<byte> type, ReadOnlySpan<byte> data) => ~Advance(Advance(0xFFFFFFFF, type), data);

    private static uint Advance(uint crc, ReadOnlySpan<byte> bytes)
    {
        for (; bytes.Length >= 8; bytes = bytes[8..])
        {
            uint low = crc ^ BinaryPrimitives.ReadUInt32LittleEndian(bytes), high = BinaryPrimitives.ReadUInt32LittleEndian(bytes[4..]);
            crc = Tables[7][low & 255] ^ Tables[6][(low >> 8) & 255] ^ Tables[5][(low >> 16) & 255] ^ Tables[4][low >> 24]
                ^ Tables[3][high & 255] ^ Tables[2][(high >> 8) & 255] ^ Tables[1][(high >> 16) & 255] ^ Tables[0][high >> 24];
        }

        foreach (byte b in bytes)
        {
            crc = Tables[0][(crc ^ b) & 255] ^ (crc >> 8);
        }

        return crc;
    }

    private static uint[][] MakeTables()
    {
        var tables = new uint[8][];
        for (int t = 0; t < 8; t++)
        {
            tables[t] = new uint[256];
            for (uint i = 0; i < 256; i++)
            {
                uint crc = t == 0 ? i : tables[t - 1][i];
                for (int bit = 0; bit < 8; bit++)
                {
                    crc = (crc & 1) != 0 ? (crc >> 1) ^ Polynomial : crc >> 1;
                }

                tables[t][i] = crc;
            }
        }

        return tables;
    }
}
