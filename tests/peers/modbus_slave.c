/* A Modbus RTU slave made of libmodbus alone; argv: port, address. Says "ready" when it listens, ends when it is killed.
 *   input registers    0-1 float32 -34.5, high word first    2-3 the same, low word first    4 int16 -120
 *   holding registers  0-1 uint32, how many questions came before this one
 * Others are refused. */
#include <modbus.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int main(int argc, char **argv)
{
    if (argc != 3)
        return 2;
    modbus_t *line = modbus_new_rtu(argv[1], 19200, 'E', 8, 1);
    modbus_mapping_t *map = modbus_mapping_new(0, 0, 2, 5);
    if (line == NULL || map == NULL || modbus_set_slave(line, atoi(argv[2])) == -1 || modbus_connect(line) == -1) {
        perror("modbus_slave");
        return 1;
    }
    /* Not its own float helpers: those of 3.1.6, which Debian 12 has, swap the bytes of each register
     * (github.com/stephane/libmodbus, issue 611). */
    const float figure = -34.5f;
    uint32_t bits;
    memcpy(&bits, &figure, sizeof bits);
    MODBUS_SET_INT32_TO_INT16(map->tab_input_registers, 0, bits);
    map->tab_input_registers[2] = map->tab_input_registers[1];
    map->tab_input_registers[3] = map->tab_input_registers[0];
    map->tab_input_registers[4] = (uint16_t)(int16_t)-120;
    puts("ready");
    fflush(stdout);
    for (uint32_t questions = 0;;) {
        uint8_t query[MODBUS_RTU_MAX_ADU_LENGTH];
        int size = modbus_receive(line, query);
        if (size <= 0)
            continue;
        MODBUS_SET_INT32_TO_INT16(map->tab_registers, 0, questions);
        modbus_reply(line, query, size, map);
        questions++;
    }
}
