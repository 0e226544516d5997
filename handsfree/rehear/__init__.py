"""The clips of stored records, heard anew: does today's hearing stand by what was acted on?"""
